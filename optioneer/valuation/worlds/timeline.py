"""The clock of a valuation: periods from first chips to the horizon, and what money is worth."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats, Ints

EDGE = 1e-9
"""Slack [periods] so that a certain date on a period's edge falls into that period."""


@dataclass(frozen=True)
class Timeline:
    """Periods ``t = 0 .. periods - 1`` of length ``1 / periods_per_year`` after `lead`.

    Parameters
    ----------
    lead
        Order date to first chips, >= 0 [years].
    periods
        Number of periods T, >= 1.
    periods_per_year
        Periods a year, >= 1; ``dt = 1 / periods_per_year`` [years].
    rate
        Discount rate, effective per year, > -1 [1/year].
    inflation
        Of retrofit prices and call-outs since the order date [1/year].
    paying
        Value at the start of t of paying 1 for a retrofit then, T + 1 of them; empty: 1.
    share
        Share of period 0 in which the machine is there, > 0, at most 1.

    Notes
    -----
    Discounting is ``v(s) = (1 + rate) ** -s`` with s in years since the order date.
    """

    lead: float
    periods: int
    periods_per_year: int
    rate: float
    inflation: float = 0.0
    paying: tuple[float, ...] = ()
    share: float = 1.0

    @property
    def dt(self) -> float:
        """Length of a period [years]."""
        return 1.0 / self.periods_per_year

    def lasting(self, years: Floats) -> Ints:
        """Whole periods of so many years, rounded half up, from 1 to T, any shape."""
        whole = np.floor(years * self.periods_per_year + 0.5 + EDGE)
        return np.clip(whole, 1, self.periods).astype(np.int32)

    @cached_property
    def years(self) -> Floats:
        """Starts of the periods and the horizon, shape (T + 1,) [years after first chips]."""
        return np.arange(self.periods + 1) / self.periods_per_year

    @cached_property
    def at_start(self) -> Floats:
        """Factors D[t] of money at the start of t, D[T] at the horizon, shape (T + 1,)."""
        return (1.0 + self.rate) ** -(self.lead + self.years)

    @cached_property
    def during(self) -> Floats:
        """Factors d[t] of a flow during t, paid in its middle, shape (T,); of 0 only its share."""
        factors = (1.0 + self.rate) ** -(self.lead + self.years[:-1] + 0.5 * self.dt)
        factors[0] *= self.share
        return factors

    @cached_property
    def price_level(self) -> Floats:
        """Retrofit prices at the start of t per price at the order date, shape (T + 1,)."""
        return (1.0 + self.inflation) ** (self.lead + self.years)

    @cached_property
    def retrofit_level(self) -> Floats:
        """Value of paying for a retrofit at the start of t per price at the order, (T + 1,)."""
        return self.price_level * np.array(self.paying) if self.paying else self.price_level

    @cached_property
    def annuity(self) -> Floats:
        """Present value of one unit a year from t to the horizon, shape (T + 1,) [years]."""
        flows = self.during * self.dt
        return np.append(np.cumsum(flows[::-1])[::-1], 0.0)
