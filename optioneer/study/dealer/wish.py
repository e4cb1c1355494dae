"""What is wanted of the dealer: a package, what may be fitted later, what is still open."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Literal

from pydantic import Field

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.checks.reliance import streams_relying_on
from optioneer.model.machine import Package
from optioneer.study.advice.answers import Advice
from optioneer.study.answer import Answer, Waiting
from optioneer.study.unknowns.answers import HangsOn
from optioneer.study.worth.figures import What

Topic = Literal[
    "not told",
    "price",
    "undecided",
    "prepare",
    "later price",
    "downtime",
    "never",
    "deletion credit",
    "lead time",
    "power and air",
    "acceptance",
    "payment",
]


ASKED_ABOUT: tuple[Waiting, ...] = ("planned", "possible")
"""What waits and is likely enough that the dealer is asked to prepare it and to hold its price."""


OF_THE_DEALER: tuple[What, ...] = ("multiplier", "later-price", "downtime-days")
"""Figures of an option that the dealer can tell: asked about where one of them turns a verdict."""


class WishItem(Answer):
    """One thing that a question is about, and what is reckoned with until it is answered."""

    option: str = Field(default="", description="Id of the option; empty: not about one.")
    what: str = Field(description="What it is, in the words of the quote.")
    figure: float | None = Field(
        default=None, description="What is reckoned with so far; none: nothing, it is missing."
    )
    unit: str = Field(default="", description="Of `figure`; `money`: in the case's currency.")
    note: str = Field(default="", description="What else is known of it.")


class WishQuestion(Answer):
    """One question to the dealer."""

    topic: Topic
    title: str
    text: str
    asked: tuple[WishItem, ...] = Field(default=(), description="What it is about, one by one.")


@dataclass(frozen=True)
class Wish:
    """What is to be ordered, what may be fitted later, and what stays open.

    Parameters
    ----------
    held
        Ids of everything that the package has on the machine.
    later
        Options not ordered whose retrofit is planned or possible, or turns a verdict by its price.
    open
        Options whose verdict is too close to call.
    """

    case: Case
    held: frozenset[str]
    later: tuple[Option, ...]
    open: tuple[Option, ...]

    @property
    def by_id(self) -> Mapping[str, Option]:
        """Options of the catalogue by id."""
        return self.case.catalogue.by_id

    def wanted_by_work(self, option: Option) -> bool:
        """Whether some work relies on an option."""
        return bool(streams_relying_on(self.case, option.option))


def wish_of(case: Case, package: Package, advice: Advice | None = None) -> Wish:
    """What the questions are about; see `questions` in `optioneer.study.questions`."""
    held = frozenset(everything_fitted(Orders(case.catalogue), package))
    absent = [option for option in case.catalogue.options if option.option not in held]
    if advice is None:
        chosen = {
            option.option
            for option in absent
            if option.retrofittable
            and streams_relying_on(case, option.option)
            and not is_barred(case, option, held)
        }
        near: set[str] = set()
    else:
        chosen = {each.option for each in advice.options if each.waiting in ASKED_ABOUT}
        chosen |= {on.name for on in hung_on(advice) if on.what in OF_THE_DEALER}
        near = {each.option for each in advice.options if each.close_call}
    later = tuple(option for option in absent if option.option in chosen)
    undecided = tuple(option for option in case.catalogue.options if option.option in near)
    return Wish(case, held, later, undecided)


def hung_on(advice: Advice) -> Iterator[HangsOn]:
    """Figures that turn some verdict within their ranges."""
    for each in advice.options:
        yield from each.hangs_on or ()


def is_barred(case: Case, option: Option, held: frozenset[str]) -> bool:
    """Whether something that is ordered has its slot or cannot stand beside it."""
    orders = Orders(case.catalogue)
    slot = orders.slot[option.option]
    ordered = [case.catalogue.by_id[name] for name in held]
    rival = any(o.option for o in ordered if not o.standard and orders.slot[o.option] == slot)
    return rival or bool(held & orders.excluded.get(option.option, {}).keys())
