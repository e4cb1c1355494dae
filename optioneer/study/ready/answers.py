"""Answers to: is the site ready? Their field names are the names in the JSON."""

from datetime import date

from pydantic import Field

from optioneer.study.answer import Answer
from optioneer.study.needs.answers import Need, SiteFigure

STANDING = (
    (
        "Planning estimate only; the licensed electrician, the structural engineer, the rigger "
        "and the local authority decide."
    ),
    "The machine's own nameplate and installation drawing overrule every table in this tool.",
    "A missing figure is shown as missing, never as zero.",
)
"""What stands on every face of this part."""


class Purchase(Answer):
    """One line of the shopping list."""

    id: str
    what: str
    cents: int | None = Field(description="Price, fitting included; none: no price given.")
    order_by: date | None = Field(description="Latest order that delays nothing.")
    arrives: date | None = Field(description="When it comes if ordered on that day.")
    planned_order: date | None = None
    planned_arrival: date | None = None
    payee: str | None = None
    basis: str = Field(description="`quote`, or `rule of thumb, replace by a quote`.")


class Payment(Answer):
    """What leaves the bank for the site, and when; money out is negative."""

    date: date
    cents: int
    what: str
    payee: str


class MoveStep(Answer):
    """One move of something that stands in the way."""

    step: int
    item: str
    from_: str = Field(alias="from", serialization_alias="from")
    to: str
    parked: bool = Field(description="It goes to a temporary place.")


class Reserve(Answer):
    """What of the site would be outgrown by what is not ordered and could be fitted later."""

    kind: str = Field(description="Kind of what would be bought, such as `service`.")
    name: str
    options: tuple[str, ...] = Field(description="Not ordered, can be retrofitted, and use it.")
    ordered: float = Field(description="What the order needs, reserves named in the case included.")
    required: float = Field(description="What would be needed with all of them fitted.")
    available: float
    unit: str
    what: str = Field(description="What would be bought then.")
    now_cents: int | None = Field(
        description="Provided with the order: price beyond what is bought anyway; none: no price."
    )
    first_chips_days: int | None = Field(
        description="Days by which first chips would come later then; none: no lead time."
    )
    later_cents: int | None = Field(
        description="Provided when fitted: price, in money of the order date; none: no price."
    )
    later_downtime_days: float = Field(description="Machine days lost then.")


class TaskDates(Answer):
    """Dates of one task; a finish is the last day worked, or the day something arrives."""

    id: str
    name: str
    early_start: date
    early_finish: date
    late_start: date
    late_finish: date
    float_days: float = Field(description="Working days it may slip; below 0: already late.")
    critical: bool = Field(description="A day's delay of it delays first chips.")
    undated: bool = Field(
        default=False,
        description="It waits for something that has no date: its dates are the earliest possible.",
    )
    book_by: date | None
    planned_start: date
    planned_finish: date
    days: tuple[float, float, float] = Field(description="Low, likely, high.")
    elapsed: bool
    trades: tuple[str, ...]
    basis: str


class Booking(Answer):
    """When to book whom."""

    trade: str
    task: str
    book_by: date | None = Field(
        description="Latest day that delays nothing; none: the notice they need is missing."
    )
    planned_booking: date | None = Field(description="Booked on that day for `wanted_on`.")
    wanted_on: date


class Percentiles(Answer):
    """Dates that half, four fifths and nineteen twentieths of the runs do not pass."""

    p50: date
    p80: date
    p95: date


class Cause(Answer):
    """How often a task is the reason that the site is not ready."""

    task: str
    share: float = Field(description="Of the runs in which the site is not ready.")


class Readiness(Answer):
    """Whether everything is ready on the day."""

    case: str
    currency: str
    package: str
    options: tuple[str, ...]
    standing: tuple[str, ...] = STANDING
    needs: tuple[Need, ...]
    figures: tuple[SiteFigure, ...]
    purchases: tuple[Purchase, ...]
    purchases_cents: int = Field(description="Sum of those that have a price.")
    payments: tuple[Payment, ...]
    moves: tuple[MoveStep, ...]
    rings: tuple[tuple[str, ...], ...] = Field(description="Items that wait for each other.")
    visits: int = Field(description="Trade visits that the moves need.")
    crew_hours: float
    crew_cents: int | None
    tasks: tuple[TaskDates, ...]
    order_proven: bool = Field(description="No other order of the trades gives earlier dates.")
    bookings: tuple[Booking, ...]
    delivery: date
    undated: tuple[str, ...] = Field(
        default=(), description="What keeps dates and chances from being known."
    )
    reserve: tuple[Reserve, ...] = Field(
        default=(), description="What would be outgrown by options that could be fitted later."
    )
    reserved_for: tuple[str, ...] = Field(
        default=(), description="Options not ordered that the site is sized for, as the case says."
    )
    ready_on_delivery_chance: float | None = Field(description="None: something has no date.")
    first_chips: Percentiles | None = Field(description="None: something has no date.")
    planned_first_chips: date | None = Field(description="None: something has no date.")
    late_causes: tuple[Cause, ...]
    cost_of_a_day: float
    expected_delay_cost: float | None = Field(
        description="Mean working days past the planned first chips, times the margin a day; none: "
        "something has no date."
    )
    missing: tuple[str, ...] = Field(description="Figures that were not given.")
    electrician: tuple[str, ...] = Field(
        description="What to go through with the licensed electrician."
    )
    cautions: tuple[str, ...]
