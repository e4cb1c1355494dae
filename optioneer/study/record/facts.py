"""What is recorded of a purchase: decisions with what they rested on, and facts since."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Annotated

from pydantic import Field

from optioneer.model.fact import LARGEST_AMOUNT, Name, Note
from optioneer.model.machine import Day
from optioneer.model.terms import Dealer
from optioneer.money.ledger import EntryKind
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.answer import Answer
from optioneer.study.cash.answers import CashEntry


class PlannedOption(Answer):
    """What was known of one option when it was decided."""

    option: str
    name: str
    price: float = Field(description="Factory price [money].")
    later_price: float | None = Field(
        default=None, description="What it lists for later [money]; none: the factory price."
    )
    ordered: bool = Field(description="On the machine as ordered, or standard and kept.")
    verdict: str = Field(description="Of the advice; empty where none was asked for.")
    multiplier: tuple[float, float, float] | None = Field(
        description="Retrofit multiplier beside what was ordered: low, likely, high."
    )
    downtime_days: float


class PlannedStream(Answer):
    """What was expected of one kind of work."""

    stream: str
    name: str
    chance: float
    years: tuple[float, float, float] = Field(description="After first chips: low, likely, high.")
    margin: tuple[float, float, float] = Field(description="A year: low, likely, high [money].")


class Planned(Answer):
    """What facts are compared with later."""

    order: date
    first_chips: date
    retrofit_inflation: float
    currency: str = Field(
        default="", description="ISO 4217 code; empty in records that are older than it."
    )
    base_price: float = Field(default=0.0, description="Of the bare machine [money].")
    call_out: float = Field(default=0.0, description="Of the dearest visit [money].")
    dealer: Dealer = Field(default=Dealer(), description="Terms of the quote as they were.")
    plan: str = Field(default="", description="Way of paying; empty: none was told.")
    entries: tuple[CashEntry, ...] = Field(default=(), description="Money under that plan.")
    options: tuple[PlannedOption, ...]
    streams: tuple[PlannedStream, ...]


class Sealed(Answer):
    """A decision as it was taken."""

    time: datetime
    version: str = Field(description="Of the program.")
    case: str
    currency: str
    fingerprint: str = Field(description="SHA-256 over the facts of the case.")
    note: Note = ""
    inputs: Mapping[str, str] = Field(description="Text of each file of the case, by name.")
    package: PackageAnswer = Field(description="What was decided on.")
    advice: Advice | None = Field(description="What was advised; none: not asked for.")
    planned: Planned


Cents = Annotated[int, Field(gt=-100 * LARGEST_AMOUNT, lt=100 * LARGEST_AMOUNT)]
BillCents = Annotated[int, Field(ge=0, lt=100 * LARGEST_AMOUNT)]
DowntimeDays = Annotated[float, Field(ge=0, le=3650, allow_inf_nan=False)]
Margin = Annotated[float, Field(ge=0, lt=LARGEST_AMOUNT, allow_inf_nan=False)]


class PaidFact(Answer):
    """Money that has moved; money out is negative."""

    date: Day
    cents: Cents
    kind: EntryKind = Field(description="As in the cash ledger: contract, interest, site ...")
    what: Name = ""
    payee: Name = ""


class Fitted(Answer):
    """A retrofit that was done."""

    date: Day
    option: Name
    cents: BillCents = Field(description="Its bill, the visit not included.")
    call_out_cents: BillCents = Field(default=0, description="Of the visit.")
    downtime_days: DowntimeDays | None = Field(default=None, description="The machine stood still.")
    note: Note = ""


class Arrived(Answer):
    """Work that has turned up."""

    date: Day
    stream: Name
    margin: Margin | None = Field(default=None, description="A year, as it now looks [money].")
    note: Note = ""


class Withdrawn(Answer):
    """A fact that was recorded by mistake and is to count no more."""

    note: Note = ""


RecordedFact = PaidFact | Fitted | Arrived
"""What can be recorded of what came."""


class Recording(Answer):
    """One entry of the record."""

    number: int = Field(description="Its place in the record, from 1.")
    what: Sealed | PaidFact | Fitted | Arrived | Withdrawn
    corrects: int | None = Field(
        default=None, description="Number of the earlier entry that counts no more for this one."
    )


class Recorded(Answer):
    """Everything in the record of a case, in the order in which it was put down."""

    entries: tuple[Recording, ...] = ()
    heads: tuple[str, ...] = Field(
        default=(), description="What the record was told by after each entry that can be read."
    )
    damage: tuple[str, ...] = Field(
        default=(), description="What was changed, cut or cannot be read, a sentence each."
    )

    @property
    def head(self) -> str:
        """What the record is told by now: its length, and the last seal over all of it."""
        return self.heads[-1] if self.heads else ""

    @property
    def decisions(self) -> Mapping[int, Sealed]:
        """The decisions by their numbers."""
        return {one.number: one.what for one in self.entries if isinstance(one.what, Sealed)}

    @property
    def corrected(self) -> Mapping[int, int]:
        """By number of an entry that counts no more, the number of the one that says so."""
        return {one.corrects: one.number for one in self.entries if one.corrects is not None}

    @property
    def facts(self) -> tuple[RecordedFact, ...]:
        """What came, as far as it still counts."""
        gone = self.corrected
        return tuple(
            one.what
            for one in self.entries
            if isinstance(one.what, RecordedFact) and one.number not in gone
        )
