"""The catalogue: what can be ordered on the machine, and the slots it competes for."""

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Any

from pydantic import AfterValidator, Field, model_validator

from optioneer.errors import did_you_mean
from optioneer.model.fact import (
    Amount,
    Fact,
    Id,
    Key,
    Name,
    Note,
    Quantity,
    Share,
    Triangular,
    refusal,
)
from optioneer.model.kinds.kind import Fitting
from optioneer.model.kinds.usual import filled_in, usual_figures, usual_kinds


def _known_kind(kind: str) -> str:
    known = [one.id for one in usual_kinds().kind if not one.charge]
    if kind not in known:
        raise refusal(f"there is no kind '{kind}' of option", did_you_mean(kind, known))
    return kind


KnownKind = Annotated[Id, AfterValidator(_known_kind)]


class Option(Fact):
    """Something orderable on the machine."""

    option: Id = Field(description="Id, unique in the catalogue, in kebab-case.")
    name: Name = Field(description="What the quote calls it.")
    slot: Key | None = Field(
        default=None,
        description="Place on the machine it shares with rivals; none: a slot of its own.",
    )
    kind: KnownKind | None = Field(
        default=None,
        description="Kind of option; what is left blank of an option with a kind is as usual in "
        "the trade.",
    )
    price: Amount = Field(
        description="Factory price with the order [money]; of a standard item the list price, used "
        "only as the base of its resale value and, without `later_price`, of a later retrofit."
    )
    later_price: Amount | None = Field(
        default=None,
        description="What it lists for when bought later [money]: the retrofit multiplier counts "
        "on it; none: `price`.",
    )
    standard: bool = Field(default=False, description="Included in the base price.")
    delete_credit: Amount | None = Field(
        default=None,
        description="Credit for leaving a standard item off [money]; none: it cannot be left off.",
    )
    must: bool = Field(
        default=False, description="Wanted whatever it costs: ordered in every package."
    )
    fitting: Fitting = Field(description="`factory-only` or `retrofittable`.")
    multiplier: Triangular | None = Field(
        default=None,
        description="Retrofit multiplier: price of fitting it later as a multiple of "
        "`later_price`.",
    )
    eased_by: Id | None = Field(
        default=None, description="Option that, once fitted, replaces the multiplier by `eased`."
    )
    eased: Triangular | None = Field(
        default=None, description="Retrofit multiplier once `eased_by` is fitted."
    )
    call_out: Key | None = Field(
        default="default", description="The field-service visit a retrofit needs; none: no visit."
    )
    downtime_days: Quantity = Field(
        default=0.0, description="Machine days lost to a retrofit [days]."
    )
    upkeep_per_year: Amount = Field(default=0.0, description="Upkeep while fitted [money/year].")
    resale_share: Share = Field(
        default=0.0, description="Share of its price that comes back at the end of the horizon."
    )
    requires: tuple[Id, ...] = Field(
        default=(), description="Options that must be fitted whenever this one is."
    )
    excludes: tuple[Id, ...] = Field(
        default=(), description="Options that must not be fitted together with this one."
    )
    kva: Quantity = Field(default=0.0, description="Added connected load [kVA].")
    air_l_min: Quantity = Field(default=0.0, description="Added air demand [normal L/min].")
    floor_m2: Quantity = Field(default=0.0, description="Added floor area [m2].")
    mass_kg: Quantity = Field(default=0.0, description="Added mass [kg].")
    note: Note = Field(default="", description="Free text.")

    @model_validator(mode="before")
    @classmethod
    def _as_usual(cls, raw: Any) -> Any:
        """What is left blank of an option with a kind is the kind's."""
        return filled_in(raw) if isinstance(raw, Mapping) and raw.get("kind") else raw

    @property
    def usual(self) -> Mapping[str, Any]:
        """What fields mean that are left blank, where that is not their default."""
        return usual_figures(self.kind, self.price, self.fitting) if self.kind else {}

    @property
    def retrofittable(self) -> bool:
        """Whether it can be fitted after delivery."""
        return self.fitting == "retrofittable"

    @property
    def listed_later(self) -> float:
        """What the retrofit multiplier counts on [money]."""
        return self.price if self.later_price is None else self.later_price

    def priced(self, price: float) -> "Option":
        """The same at another price with the order; what it lists for later stays.

        A discount on the order says nothing about a retrofit in some years.
        """
        kept = self.listed_later if self.retrofittable else self.later_price
        changes = {"price": price, "later_price": kept}
        if self.kind and self.upkeep_per_year == self.usual["upkeep_per_year"]:
            usual = usual_figures(self.kind, price, self.fitting)
            changes["upkeep_per_year"] = usual["upkeep_per_year"]
        return self.model_copy(update=changes)


class Slot(Fact):
    """A place on the machine that holds at most one of its options at a time."""

    name: str
    options: tuple[Option, ...] = Field(min_length=1)

    @property
    def standard(self) -> Option | None:
        """The option of this slot that the base price includes, if any."""
        return next((option for option in self.options if option.standard), None)

    @property
    def must(self) -> Option | None:
        """The option of this slot that is wanted whatever it costs, if any."""
        return next((option for option in self.options if option.must), None)

    @property
    def may_be_empty(self) -> bool:
        """Whether the machine can be ordered with nothing in this slot."""
        if self.must is not None:
            return False
        return self.standard is None or self.standard.delete_credit is not None


class Catalogue(Fact):
    """All options of the machine, in the order of the file."""

    options: tuple[Option, ...]

    @cached_property
    def by_id(self) -> Mapping[str, Option]:
        """Options by id."""
        return {option.option: option for option in self.options}

    @cached_property
    def slots(self) -> tuple[Slot, ...]:
        """Slots sorted by name, each with its options sorted by id.

        Sorted, so that the order of rows in a file changes nothing that is computed.
        """
        members: dict[str, list[Option]] = {}
        for option in sorted(self.options, key=lambda option: option.option):
            members.setdefault(option.slot or option.option, []).append(option)
        return tuple(Slot(name=name, options=tuple(members[name])) for name in sorted(members))

    @cached_property
    def always(self) -> tuple[Option, ...]:
        """Options of every package that does not replace them: wanted ones, other standards."""
        found = ((slot.must or slot.standard) for slot in self.slots)
        held = {option.option for option in found if option is not None}
        return tuple(option for option in self.options if option.option in held)

    @cached_property
    def standards(self) -> tuple[Option, ...]:
        """Options included in the base price."""
        return tuple(option for option in self.options if option.standard)
