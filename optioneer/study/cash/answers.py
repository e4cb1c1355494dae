"""What is answered to the question what leaves the bank."""

from dataclasses import dataclass
from datetime import date

from pydantic import Field

from optioneer.money.ledger import EntryKind
from optioneer.study.answer import Answer


@dataclass(frozen=True)
class DatedCost:
    """A cost of getting ready, such as power or movers.

    Parameters
    ----------
    cents
        How much; a cost is above zero.
    belongs_to
        The work it belongs to.
    """

    date: date
    cents: int
    what: str
    payee: str
    belongs_to: str = ""


class CashEntry(Answer):
    """One amount on one day; money out is negative."""

    date: date
    cents: int
    kind: EntryKind
    what: str
    payee: str
    balance_cents: int = Field(description="Balance of the account afterwards.")


class Lowest(Answer):
    """The lowest balance at the end of a day."""

    date: date
    cents: int


class Short(Answer):
    """Days in a row on which account and credit line together do not cover what is due."""

    first: date
    last: date
    worst: date = Field(description="The day on which most is missing.")
    cents: int = Field(description="How much is missing then.")


class TrueCost(Answer):
    """What one way of paying really costs; rates are fractions a year, none where there is none."""

    apr: float | None = Field(description="By the actuarial method; nominal.")
    effective_rate: float | None = Field(description="By the European formula; effective.")
    xirr: float | None = Field(description="Of the days on which money really moves; effective.")
    total_paid_cents: int = Field(description="Price, interest, fees, rents; taxes not counted.")
    interest_cents: int = Field(description="Interest; of a lease all above the price, no fee.")
    present_cost: float = Field(
        description="At what the shop borrows at, sales tax included, before income tax."
    )
    present_cost_after_tax: float | None = Field(description="The same less income tax saved.")


class Treatments(Answer):
    """Present cost after tax of a lease under both treatments; the accountant decides."""

    as_lease: float = Field(description="Rents are deducted.")
    as_purchase: float = Field(description="Written off from the start, interest is deducted.")


class PlanCash(Answer):
    """One way of paying."""

    id: str
    kind: str
    entries: tuple[CashEntry, ...]
    contract_cents: int
    lowest: Lowest
    days_below: int = Field(description="Days that end below what should be kept.")
    opening_needed_cents: int = Field(description="Least opening balance that keeps above it.")
    short: tuple[Short, ...] = Field(
        default=(), description="Days that account and credit line do not cover; empty: none."
    )
    treatments: Treatments | None = Field(
        default=None, description="Of a lease where income tax is told."
    )
    true_cost: TrueCost


class Flip(Answer):
    """Where two ways of paying change places."""

    first: str = Field(description="The cheapest plan.")
    second: str
    at: float | None = Field(
        description="Rate a year at which the shop would have to borrow for the two to cost the "
        "same, the nearest; none: the first is cheaper at every rate."
    )


class CashAnswer(Answer):
    """All ways of paying that were asked for."""

    currency: str
    plans: tuple[PlanCash, ...]
    cheapest: str | None = Field(description="Least present cost, after tax if that is told.")
    safest: str | None = Field(description="Highest lowest balance.")
    borrows_at: float | None = Field(
        default=None, description="Rate a year at which plans are compared, before tax."
    )
    flips: tuple[Flip, ...] = Field(
        default=(), description="Where the cheapest plan and each other one change places."
    )
