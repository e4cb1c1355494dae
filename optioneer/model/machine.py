"""The machine on offer: base price, dates, service visits, bundles and packages."""

from datetime import date, timedelta
from typing import Annotated

from pydantic import Field

from optioneer.dates import DAYS_PER_YEAR
from optioneer.model.fact import Amount, Fact, Id, Key, Name, Number, Share, Uncertain

EARLIEST, LATEST = date(1990, 1, 1), date(2100, 12, 31)
"""Dates outside are typing errors."""

Day = Annotated[date, Field(strict=True, ge=EARLIEST, le=LATEST)]
Weeks = Annotated[float, Field(strict=True, ge=0, le=520)]


class Machine(Fact):
    """The machine without its options."""

    name: Name = Field(description="Name of the machine; invented in demos.")
    kind: Name = Field(description="What sort of machine, free text.")
    base_price: Amount = Field(description="Price of the standard machine [money].")
    currency: str = Field(pattern=r"^[A-Z]{3}$", description="ISO 4217 code.")
    margin_per_day: Amount = Field(
        description="Earned on a normal working day; what a day of downtime costs [money/day]."
    )
    resale_share: Share = Field(
        default=0.0,
        description="Share of the base price that comes back at the end of the horizon; at a sale "
        "after part of it, the share to the power of that part.",
    )
    kept_years: Uncertain | None = Field(
        default=None,
        description="How long the machine stays [years after first chips]; three figures: "
        "earliest, likeliest, latest; none: to the horizon.",
    )


class Hours(Fact):
    """How many hours a year somebody is there for the machine."""

    attended: Number = Field(
        ge=0, le=8784, description="Hours in which someone is there for this machine [hours/year]."
    )
    beyond: Amount | None = Field(
        default=None,
        description="What one hour more costs: overtime, another shift, sent out; constant, in "
        "money of the order date [money/hour]; none: there are no more.",
    )


class Dates(Fact):
    """From the order to the day the machine starts to earn."""

    order: Day = Field(description="Order date, time 0.")
    build_weeks: Weeks = Field(default=0.0, description="Order to ready to ship [weeks].")
    ship_weeks: Weeks = Field(default=0.0, description="Ready to ship to delivered [weeks].")
    commission_days: Number = Field(
        default=0.0, ge=0, le=3650, description="Delivered to first chips [calendar days]."
    )
    first_chips: Day | None = Field(
        default=None, description="The day the machine starts to earn; none: from the dates above."
    )
    lead: Number | None = Field(
        default=None,
        ge=0,
        le=50,
        description="Order to first chips stated outright [years], instead of `first_chips`.",
    )

    @property
    def first_chips_date(self) -> date:
        """First chips as stated, or order + build + ship + commission, whole days rounded up."""
        if self.first_chips is not None:
            return self.first_chips
        if self.lead is not None:
            return self.order + timedelta(days=round(self.lead * DAYS_PER_YEAR))
        days = 7 * (self.build_weeks + self.ship_weeks) + self.commission_days
        return self.order + timedelta(days=-int(-days // 1))

    @property
    def lead_years(self) -> float:
        """Years from order to first chips, ACT/365."""
        if self.lead is not None:
            return self.lead
        return (self.first_chips_date - self.order).days / DAYS_PER_YEAR


class Bundle(Fact):
    """Options that cost less when ordered together at the factory."""

    id: Key = Field(description="Id, unique among bundles.")
    options: tuple[Id, ...] = Field(min_length=2, description="The options ordered together.")
    discount: Amount = Field(description="What ordering all of them together saves [money].")


class Package(Fact):
    """A candidate the buyer wants to see side by side with the advice."""

    id: Key = Field(description="Id, unique among packages.")
    name: Name = Field(default="", description="What people call it; default: its id.")
    options: tuple[Id, ...] = Field(default=(), description="Options ordered beyond standard.")
    without: tuple[Id, ...] = Field(default=(), description="Standard items left off.")
