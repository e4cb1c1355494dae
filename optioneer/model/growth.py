"""The growth scenario: which work may turn up, when, and what it earns."""

from collections.abc import Collection, Mapping
from statistics import NormalDist
from typing import Annotated

from pydantic import Field

from optioneer.model.fact import (
    Fact,
    Id,
    Key,
    Name,
    Number,
    Share,
    Triangular,
    Uncertain,
    UncertainShare,
    Whole,
    triangular,
)

Loading = Annotated[float, Field(strict=True, ge=-1, le=1)]
Workload = Annotated[float, Field(strict=True, ge=0, le=100_000)]


class Driver(Fact):
    """An outside force that makes several kinds of work likelier together."""

    id: Key = Field(description="Id, unique among drivers.")
    name: Name = Field(default="", description="What people call it; default: its id.")
    nudge: Number = Field(
        default=0.0, ge=-10, le=10, description="What-if shift [standard deviations]."
    )


class Way(Fact):
    """A set of options that lets the machine do a work stream."""

    options: tuple[Id, ...] = Field(
        description="All of them must be fitted; none: the machine as it stands."
    )
    share: Share = Field(default=1.0, description="Share of the stream's margin it earns.")
    hours: Workload | None = Field(
        default=None,
        description="Attended hours that the whole of it takes this way [hours/year]; none: the "
        "stream's.",
    )


class Stream(Fact):
    """A kind of work that may show up."""

    id: Key = Field(description="Id, unique among streams.")
    name: Name = Field(default="", description="What people call it; default: its id.")
    chance: UncertainShare = Field(
        description="Chance that it shows up at all; three figures: lowest, likeliest and highest "
        "that one would believe."
    )
    years: Triangular = Field(
        description="Earliest, likeliest, latest arrival [years after first chips]."
    )
    margin: Triangular = Field(
        description="Low, likely, high margin [money/year], money of the order date."
    )
    growth: Number = Field(
        default=0.0, gt=-1, le=1, description="Growth of the margin since first chips [1/year]."
    )
    swing: Number = Field(
        default=0.0, ge=0, le=3, description="Volatility of the margin once there [1/sqrt(year)]."
    )
    lasts_years: Uncertain | None = Field(
        default=None,
        description="How long it lasts [years]; three figures: shortest, likeliest, longest; none: "
        "to the horizon.",
    )
    hours: Workload = Field(
        default=0.0,
        description="Attended hours that the whole of it takes [hours/year]; counted where the "
        "machine has hours.",
    )
    fallback: Share = Field(
        default=0.0, description="Share of the margin kept when no way is fitted."
    )
    drivers: Mapping[Key, Loading] = Field(
        default_factory=dict, description="Loadings; their squares sum to at most 1."
    )
    way: tuple[Way, ...] = Field(
        default=(), description="The ways to do it; the best fitted one counts."
    )

    def hours_of(self, way: Way) -> float:
        """Attended hours that the whole of it takes by one of its ways [hours/year]."""
        return self.hours if way.hours is None else way.hours

    def uses(self, options: Collection[str]) -> bool:
        """Whether any of some options has a part in doing it."""
        return any(option in options for way in self.way for option in way.options)

    @property
    def served(self) -> bool:
        """Whether an option has a part in doing it."""
        return any(way.options for way in self.way)

    @property
    def takes_hours(self) -> bool:
        """Whether any of its ways takes attended hours."""
        return any(self.hours_of(way) > 0 for way in self.way)

    @property
    def mean_chance(self) -> float:
        """Chance that it shows up, whatever is not known of it."""
        return triangular(self.chance).mean if isinstance(self.chance, Triangular) else self.chance

    @property
    def likely_chance(self) -> float:
        """The likeliest chance that it shows up."""
        return triangular(self.chance).likely


class Growth(Fact):
    """Horizon, discounting, sampling, drivers and streams."""

    horizon_years: Number = Field(gt=0, le=60, description="From first chips [years].")
    periods_per_year: Whole = Field(default=4, ge=1, le=52, description="Decision dates a year.")
    discount_rate: Number = Field(
        gt=-0.5, le=1, description="Effective per year, nominal [1/year]."
    )
    retrofit_inflation: Number = Field(
        default=0.0, gt=-0.5, le=1, description="On retrofit prices and call-outs [1/year]."
    )
    futures: Whole = Field(default=4096, ge=16, le=65536, description="Futures drawn.")
    seed: Whole = Field(default=7, ge=0, lt=2**63, description="Seed of the draws.")
    driver: tuple[Driver, ...] = Field(default=(), description="Drivers.")
    stream: tuple[Stream, ...] = Field(default=(), description="Work streams.")

    @property
    def periods(self) -> int:
        """Whole periods in the horizon."""
        return round(self.horizon_years * self.periods_per_year)

    def chance_of(self, stream: Stream) -> float:
        """Chance that `stream` shows up, with the nudges of its drivers.

        Notes
        -----
        The stream's score is normal with variance 1 and mean m, the sum of loading x nudge; it
        shows up when its upper tail falls below `chance` c: with probability Phi(m + Phi^-1(c)).
        Of a chance that nobody knows the mean stands for c.
        """
        shift = sum(stream.drivers.get(driver.id, 0.0) * driver.nudge for driver in self.driver)
        chance = stream.mean_chance
        if shift == 0 or chance in {0.0, 1.0}:
            return chance
        return NormalDist().cdf(shift + NormalDist().inv_cdf(chance))
