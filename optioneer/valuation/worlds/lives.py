"""What can be known of how long work lasts and the machine stays: the shop sees them end."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.worlds.scenario import Growth, triangular_share
from optioneer.valuation.worlds.timeline import EDGE, Timeline


def survival(bounds: Floats, timeline: Timeline) -> Floats:
    """Chance of lasting longer than 0, 1 ... T whole periods, shape (T + 1,).

    Parameters
    ----------
    bounds
        Shortest, likeliest, longest, shape (3,) [years].
    timeline
        The clock; years are rounded half up to whole periods, at least one.
    """
    edges = (np.arange(timeline.periods + 1) + 0.5 - EDGE) / timeline.periods_per_year
    left: Floats = 1.0 - triangular_share(edges, bounds)
    left[0] = 1.0
    return left


@dataclass(frozen=True)
class Lives:
    """Chances that some streams, and the machine, last, by period.

    Parameters
    ----------
    streams
        Indices of K streams.
    """

    growth: Growth
    timeline: Timeline
    streams: Indices

    @cached_property
    def chance_kept(self) -> Floats:
        """Chance that the machine is kept beyond the start of each period, shape (T + 1,)."""
        stay = self.growth.stay
        kept = np.ones(self.timeline.periods + 1) if stay is None else survival(stay, self.timeline)
        kept[-1] = 0.0
        return kept

    @cached_property
    def chance_sold(self) -> Floats:
        """Chance that it is sold at the start of each period, shape (T + 1,)."""
        return np.append(0.0, self.chance_kept[:-1] - self.chance_kept[1:])

    @cached_property
    def chance_lasting(self) -> Floats:
        """Chance that each stream is there longer than 0, 1 ... T periods, shape (K, T + 1)."""
        periods = np.arange(self.timeline.periods + 1)
        rows = [
            (periods < self.growth.life[k]).astype(np.float64)
            if (bounds := self.growth.life_range(int(k))) is None
            else survival(bounds, self.timeline)
            for k in self.streams
        ]
        return np.array(rows).reshape(len(self.streams), len(periods))

    @cached_property
    def since(self) -> Floats:
        """Chance that a stream that came in period a is there in period s, shape (K, T, T)."""
        periods = np.arange(self.timeline.periods)
        age = periods[None] - periods[:, None]
        return np.where(age < 0, 0.0, self.chance_lasting[:, np.maximum(age, 0)])

    def worth_given(self, row: int, now: Indices, then: Indices, *, onward: bool) -> Floats:
        """Worth of a stream given that it and the machine are there, (S, T) [years].

        Parameters
        ----------
        row
            Of the stream.
        now, then
            S periods in which both are there, and those that it is told of.
        onward
            From then on, or then alone; by the period that the stream came in, the second axis.
        """
        table = self.onward if onward else self.during
        there = self.since[row][:, now] * self.chance_kept[now]
        told = table[row][:, then]
        given = np.divide(told, there, out=np.zeros_like(told), where=there > 0.0)
        return np.ascontiguousarray(given.T)

    @cached_property
    def flows(self) -> Floats:
        """Discounted margin per unit of level in each period, shape (K, T) [years]."""
        rates = self.growth.growth[self.streams]
        growing = (1.0 + rates[:, None]) ** self.timeline.years[None, :-1]
        return np.asarray(growing * self.timeline.during * self.timeline.dt)

    @cached_property
    def during(self) -> Floats:
        """What a stream that came in a is worth in s per unit of level, shape (K, T, T) [years].

        Times the chances that stream and machine are there, not yet given that they were before.
        """
        return self.since * (self.flows * self.chance_kept[:-1])[:, None]

    @cached_property
    def onward(self) -> Floats:
        """Sums of `during` from each period on, shape (K, T, T + 1) [years]."""
        sums = np.cumsum(self.during[:, :, ::-1], axis=2)[:, :, ::-1]
        return np.concatenate([sums, np.zeros((*sums.shape[:2], 1))], axis=2)

    @cached_property
    def annuity(self) -> Floats:
        """Worth of one unit a year from each period to the sale, shape (T + 1,) [years].

        Times the chance that the machine is still there.
        """
        flows = self.timeline.during * self.timeline.dt * self.chance_kept[:-1]
        return np.append(np.cumsum(flows[::-1])[::-1], 0.0)

    def sale(self, shares: Floats) -> Floats:
        """What a price of 1 brings back from each period on, shape (D, T + 1).

        Parameters
        ----------
        shares
            Of the price that come back at the horizon, shape (D,); after n of T periods the
            share to the power n / T.
        """
        worth = sale_worth(shares, self.timeline) * self.chance_sold
        sums: Floats = np.cumsum(worth[:, ::-1], axis=1)[:, ::-1]
        return sums


def sale_worth(shares: Floats, timeline: Timeline) -> Floats:
    """What a price of 1 brings at a sale at the start of each period, shape (D, T + 1)."""
    gone = np.arange(timeline.periods + 1) / timeline.periods
    worth: Floats = shares[:, None] ** gone * timeline.at_start
    return worth
