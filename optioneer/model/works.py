"""Works on the site: who does them, when they can be there, what moves, what takes how long."""

from typing import Annotated, Literal, Self

from pydantic import Field, StrictBool, model_validator

from optioneer.model.fact import Amount, Fact, Key, Name, Quantity, Share, Whole, refusal
from optioneer.model.machine import Day

ThreeDays = tuple[Quantity, Quantity, Quantity]


def check_rising(points: tuple[float, float, float] | None, name: str) -> None:
    """Refuse three points that do not rise.

    Raises
    ------
    PydanticCustomError
        They are not low <= likely <= high.
    """
    if points is not None and not points[0] <= points[1] <= points[2]:
        raise refusal(
            f"{name}: {points[0]:g}, {points[1]:g}, {points[2]:g} are not in rising order",
            "Write low, likely, high in rising order; three equal ones mean certain.",
        )


class Supplier(Fact):
    """Somebody who is paid, and on what terms."""

    id: Key = Field(description="Key, unique among suppliers.")
    name: Name = Field(default="", description="Name; default: its id.")
    deposit: Share = Field(default=0.0, description="Share due with the order.")
    net_days: Annotated[Whole, Field(ge=0, le=365)] = Field(
        default=0, description="The rest is due so many days after arrival or work [days]."
    )


class Trade(Fact):
    """Licensed or hired people who can be in one place at a time."""

    id: Key = Field(description="Key, unique among trades.")
    name: Name = Field(default="", description="Name; default: its id.")
    notice_days: Quantity | None = Field(
        default=None, description="How long ahead they must be booked [calendar days]."
    )
    per_visit: Amount | None = Field(default=None, description="Price of a visit [money].")
    per_day: Amount | None = Field(default=None, description="Price of a day's work [money].")
    quoted: StrictBool = Field(default=False, description="Prices by a quote, not a rule of thumb.")
    supplier: Key | None = Field(default=None, description="Who is paid.")


class Crew(Fact):
    """The shop's own people, who also keep the shop running."""

    hours_per_day: Annotated[float, Field(strict=True, gt=0, le=240)] | None = Field(
        default=None, description="Hours a day they can spare, all together [h/day]."
    )
    cost_per_hour: Amount | None = Field(default=None, description="Cost of an hour [money/h].")


class Shutdown(Fact):
    """Days on which nobody works."""

    first: Day = Field(description="First day.")
    last: Day = Field(description="Last day.")

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if self.last < self.first:
            raise refusal(f"{self.last} is before {self.first}", "Write first day, then last day.")
        return self


CREW = "own-crew"
"""The shop's own people, as a trade that is in one place at a time."""

Weekday = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class WorkCalendar(Fact):
    """When people work."""

    weekdays: tuple[Weekday, ...] = Field(
        default=("mon", "tue", "wed", "thu", "fri"), min_length=1, description="Working days."
    )
    country: Annotated[str, Field(pattern=r"^[A-Z]{2}$")] | None = Field(
        default=None, description="ISO 3166 country whose public holidays count; none: no holidays."
    )
    subdivision: Name | None = Field(default=None, description="ISO 3166-2 part of the country.")
    holiday: tuple[Day, ...] = Field(default=(), description="Further days off.")
    shutdown: tuple[Shutdown, ...] = Field(default=(), description="Weeks off.")


class Item(Fact):
    """Something that stands where something else must go."""

    id: Key = Field(description="Key, unique among items.")
    name: Name = Field(default="", description="What it is; default: its id.")
    on: tuple[Key, ...] = Field(min_length=1, description="Places it covers now.")
    to: tuple[Key, ...] | None = Field(
        default=None,
        description="Places it shall cover; an empty list: it leaves; none, or where it stands: "
        "it does not move.",
    )
    crew_hours: ThreeDays | None = Field(
        default=None, description="Crew-hours of one move: low, likely, high [h]."
    )
    trades: tuple[Key, ...] = Field(
        default=(), description="Trades that disconnect and reconnect it at each move."
    )

    @property
    def moves(self) -> bool:
        """Whether it ends elsewhere than where it stands."""
        return self.to is not None and {*self.to} != {*self.on}

    @model_validator(mode="after")
    def _hours_rise(self) -> Self:
        check_rising(self.crew_hours, "crew_hours")
        return self


class Task(Fact):
    """A task of one's own; with the id of a built-in one, what is given here replaces it there."""

    id: Key = Field(description="Key, unique among tasks and supplies.")
    name: Name = Field(default="", description="What it is; default: its id.")
    days: ThreeDays | None = Field(
        default=None, description="Low, likely, high [working days; calendar days if `elapsed`]."
    )
    elapsed: StrictBool | None = Field(default=None, description="Takes calendar days.")
    crew_hours: ThreeDays | None = Field(
        default=None, description="Own crew's hours instead of days [h]."
    )
    after: tuple[Key, ...] | None = Field(default=None, description="What it waits for.")
    before: tuple[Key, ...] = Field(default=(), description="What waits for it.")
    trades: tuple[Key, ...] | None = Field(default=None, description="Trades that do it.")
    not_before: Day | None = Field(default=None, description="First day it may start.")
    no_later_than: Day | None = Field(default=None, description="Last day it may end.")
    lead_days: Quantity | None = Field(
        default=None, description="Wanted done so long before the machine arrives [calendar days]."
    )
    ready: StrictBool | None = Field(
        default=None, description="The site is not ready before it is done."
    )
    drop: StrictBool = Field(default=False, description="Leave the built-in task out.")

    @model_validator(mode="after")
    def _points_rise(self) -> Self:
        check_rising(self.days, "days")
        check_rising(self.crew_hours, "crew_hours")
        return self


class SitePlan(Fact):
    """How dates are worked out."""

    size: Literal["small", "medium", "large"] | None = Field(
        default=None, description="Class of the machine, for commissioning days; none: by dates."
    )
    foundation: StrictBool = Field(default=False, description="It stands on a slab poured for it.")
    lead_days: Quantity = Field(
        default=7.0, description="Power and air wanted so long before the machine [calendar days]."
    )
    order_early_days: Quantity | None = Field(
        default=None,
        description="Orders and bookings are placed so long before they must be [calendar days]; "
        "none: as early as possible.",
    )
    reserve_for: tuple[Key, ...] = Field(
        default=(),
        description="Options that power, air and floor are sized for at once although they are "
        "not ordered; the site is planned for what is ordered, and for these.",
    )
    moves_not_before: Day | None = Field(
        default=None, description="First day on which what stands in the way may move."
    )
    runs: Annotated[Whole, Field(ge=100, le=50000)] = Field(
        default=4000, description="Simulated runs."
    )
    seed: Annotated[Whole, Field(ge=0, lt=2**63)] = Field(
        default=7, description="Seed of the runs."
    )
