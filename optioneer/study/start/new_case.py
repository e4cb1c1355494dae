"""A whole case from a list whose lines are placed: options, dates, work, where all is from."""

import re
import unicodedata
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property
from typing import Any

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Growth, Stream, Way
from optioneer.model.kinds.kind import NOT_PLACED, MachineKind, OptionKind
from optioneer.model.kinds.usual import usual_kinds
from optioneer.model.machine import Dates, Machine
from optioneer.model.sources import all_recorded, figures
from optioneer.study.start.list_lines import Listing, ListLine
from optioneer.study.start.work import proposed_streams, two_digits

LONGEST_ID = 40
"""Letters of an id that is made from a name."""

SIGNED_IN = timedelta(weeks=4)
"""When the order is signed, from the day of the quote, where nobody says so."""

EVERYDAY, WORKING_DAYS = "everyday", (120, 190, 230)
"""The work that needs no option, and on how many days a year it fills the machine."""

USUAL_GROWTH: Mapping[str, Any] = {
    "horizon_years": 10.0,
    "discount_rate": 0.09,
    "retrofit_inflation": 0.03,
}
"""Common practice, no source: ten years, what a loan costs a small company and a little more,
prices that rise a little."""

USUAL_STAY = Triangular(low=5.0, likely=8.0, high=10.0)
"""How long a machine stays. Common practice, no source."""


@dataclass(frozen=True)
class Wishes:
    """What a person says of the purchase beside the list.

    Parameters
    ----------
    currency
        ISO code.
    order
        The day of the order; none: some weeks after the quote.
    margin_per_day
        What a working day leaves [money]; none: as usual.
    must
        Rows of options that are wanted whatever they cost.
    never
        Ids of streams that are never done.
    """

    machine: str
    currency: str
    quoted: date
    order: date | None = None
    margin_per_day: float | None = None
    must: Collection[int] = ()
    never: Collection[str] = ()
    who: str = "owner"


def new_case(name: str, listing: Listing, wishes: Wishes) -> Case:
    """The case that a list and some wishes make; every figure says where it is from.

    Lines that nobody has placed become options that say so.

    Parameters
    ----------
    name
        Name of the case.
    listing
        The list; one of its lines is the machine, and all prices are clear.

    Raises
    ------
    RequestError
        No line is the machine, or no line is an option.
    """
    return _Beginning(name, listing, wishes).case


@dataclass(frozen=True)
class _Beginning:
    name: str
    listing: Listing
    wishes: Wishes

    @cached_property
    def kind(self) -> MachineKind:
        return usual_kinds().machines[self.wishes.machine]

    @cached_property
    def bare(self) -> ListLine:
        found = self.listing.of("machine")
        if len(found) != 1 or not found[0].price:
            raise RequestError(f"{self.listing.file}: which line is the machine, at what price?")
        return found[0]

    @cached_property
    def base_price(self) -> float:
        """Of the machine and the charges that come with it."""
        charges = (line.price or 0.0 for line in self.listing.of("charge"))
        return round((self.bare.price or 0.0) + sum(charges), 2)

    @cached_property
    def options(self) -> tuple[Option, ...]:
        lines = self.listing.of("option")
        if not lines:
            raise RequestError(f"{self.listing.file}: no line is an option of the machine.")
        drafts = _drafts(lines, self.wishes.must)
        joined = _with_needs_wanted([_with_rules(one, drafts) for one in drafts])
        return tuple(Option.model_validate(one) for one in joined)

    @property
    def case(self) -> Case:
        wishes, options = self.wishes, self.options
        streams = proposed_streams(options, wishes.machine, self.base_price)
        kept = tuple(one for one in streams if one.id not in wishes.never)
        machine = self._machine()
        case = Case(
            name=self.name,
            machine=machine,
            dates=self._dates(),
            call_outs={"default": two_digits(self.kind.call_out * self.base_price)},
            catalogue=Catalogue(options=options),
            growth=Growth(**USUAL_GROWTH, stream=(_everyday(machine), *kept)),
        )
        return self._with_sources(case)

    def _machine(self) -> Machine:
        told = self.wishes.margin_per_day
        usual = two_digits(self.kind.margin_per_day * self.base_price)
        return Machine(
            name=self.bare.text or self.kind.name,
            kind=self.kind.id,
            base_price=self.base_price,
            currency=self.wishes.currency,
            margin_per_day=usual if told is None else told,
            resale_share=self.kind.resale,
            kept_years=USUAL_STAY,
        )

    def _dates(self) -> Dates:
        return Dates(
            order=self.wishes.order or self.wishes.quoted + SIGNED_IN,
            build_weeks=self.kind.build_weeks,
            ship_weeks=self.kind.ship_weeks,
            commission_days=self.kind.commission_days,
        )

    def _with_sources(self, case: Case) -> Case:
        """The same, with where each figure is from."""
        quoted = [f"option/{option.option}/price" for option in self.options]
        told = [] if self.wishes.margin_per_day is None else ["machine/margin_per_day"]
        daily = [key for key in figures(case) if key == f"stream/{EVERYDAY}/margin"]
        known = {"machine/base_price", *quoted, *told, *daily}
        rest = [key for key in figures(case) if key not in known]
        case = all_recorded(
            case,
            ["machine/base_price", *quoted],
            source="quoted",
            who=self.listing.file[:200],
            day=self.wishes.quoted,
        )
        case = all_recorded(case, rest, source="usual", who="kinds")
        case = all_recorded(case, daily, source="computed", note="margin_per_day times days a year")
        who, day = self.wishes.who, self.wishes.quoted
        return all_recorded(case, told, source="told", who=who, day=day) if told else case


def _everyday(machine: Machine) -> Stream:
    """The work that is there on Monday morning, which the bare machine does.

    Between 120 and 230 days a year. Common practice, no source.
    """
    days = (two_digits(count * machine.margin_per_day) for count in WORKING_DAYS)
    low, likely, high = days
    return Stream(
        id=EVERYDAY,
        name="Everyday work",
        chance=1.0,
        years=Triangular(low=0.0, likely=0.0, high=0.0),
        margin=Triangular(low=low, likely=likely, high=high),
        fallback=0.3,
        way=(Way(options=()),),
    )


OptionDraft = dict[str, Any]
"""An option in the making: fields by name, with its kind."""


def _drafts(lines: Sequence[ListLine], must: Collection[int]) -> list[OptionDraft]:
    taken: set[str] = set()
    held: set[str | None] = set()
    found = []
    for line in lines:
        kind = usual_kinds().by_id[line.kind or NOT_PLACED]
        name = id_from_name(line.text or kind.name, taken)
        slot = kind.slot
        if line.included and slot in held:
            slot = None  # a second standard beside the first has a place of its own
        held |= {slot} if line.included else set()
        found.append(
            {
                "option": name,
                "name": line.text or kind.name,
                "slot": slot,
                "kind": kind.id,
                "price": line.price or 0.0,
                "standard": line.included,
                "must": line.row in must,
                "note": line.why[:5000],
            }
        )
    return _free_of_clashes(found)


def _free_of_clashes(drafts: list[OptionDraft]) -> list[OptionDraft]:
    """The same; a slot that is named like an option gets another name."""
    ids = {draft["option"] for draft in drafts}
    for draft in drafts:
        if draft["slot"] in ids:
            draft["slot"] = f"{draft['slot']}-slot"
    return drafts


def _with_rules(draft: OptionDraft, drafts: Sequence[OptionDraft]) -> OptionDraft:
    """An option with what it requires and excludes among the others, as far as that is clear."""
    kind: OptionKind = usual_kinds().by_id[draft["kind"]]
    needed = [_others(draft, drafts, one) for one in kind.needs]
    requires = tuple(found[0] for found in needed if len(found) == 1)
    barred = (name for one in kind.excludes for name in _others(draft, drafts, one))
    return {**draft, "requires": requires, "excludes": tuple(barred)}


def _with_needs_wanted(drafts: list[OptionDraft]) -> list[OptionDraft]:
    """The same; what something wanted cannot do without is wanted, too."""
    known = {draft["option"]: draft for draft in drafts}
    waiting = [draft for draft in drafts if draft["must"]]
    while waiting:
        for name in waiting.pop()["requires"]:
            if not known[name]["must"] and not known[name]["standard"]:
                known[name]["must"] = True
                waiting.append(known[name])
    return drafts


def _others(draft: OptionDraft, drafts: Sequence[OptionDraft], kind: str) -> list[str]:
    """Options of a kind that can stand beside an option."""
    return [
        other["option"]
        for other in drafts
        if other["kind"] == kind and (other["slot"] is None or other["slot"] != draft["slot"])
    ]


def id_from_name(name: str, taken: set[str]) -> str:
    """An id made from a name that nothing has yet; it is taken from then on.

    Examples
    --------
    >>> id_from_name("Späneförderer, Scharnierband", set()), id_from_name("Probe", {"probe"})
    ('spaneforderer-scharnierband', 'probe-2')
    """
    plain = unicodedata.normalize("NFKD", name.replace("\u00df", "ss").casefold())
    letters = "".join(c for c in plain if not unicodedata.combining(c))
    words = re.findall(r"[a-z0-9]+", letters) or ["option"]
    made: str = words[0][:LONGEST_ID]
    for word in words[1:]:
        if len(made) + 1 + len(word) > LONGEST_ID:
            break
        made = f"{made}-{word}"
    number, found = 1, made
    while found in taken:
        number += 1
        found = f"{made}-{number}"
    taken.add(found)
    return found
