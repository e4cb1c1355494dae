"""What one block of futures holds for one cluster: margins, what is known of them, charges."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.valuation.futures import Futures, Growth, Ints, triangular_quantile
from optioneer.valuation.lattice import Lattice, Target
from optioneer.valuation.scores import Scores
from optioneer.valuation.timeline import Floats, Timeline


@dataclass(frozen=True)
class Charges:
    """What a retrofit costs in one period, discounted to the order date, n futures.

    Parameters
    ----------
    plain
        Charge of each target, shape (n,) each [money].
    eased
        Charge once its easing option is fitted, none where nothing eases it.
    visits
        Charge of one call-out, by index [money].
    """

    plain: tuple[Floats, ...]
    eased: tuple[Floats | None, ...]
    visits: tuple[float, ...]


@dataclass(frozen=True)
class View:
    """A block of n futures as one lattice meets them.

    Parameters
    ----------
    lattice, timeline, growth
        What is valued, its clock and the scenario.
    scores
        What arrivals say of drivers; none when no stream of the scenario hangs on one.
    futures
        The block.
    """

    lattice: Lattice
    timeline: Timeline
    growth: Growth
    scores: Scores | None
    futures: Futures

    @cached_property
    def arrival(self) -> Ints:
        """Period of arrival of the lattice's streams, shape (K, n)."""
        return self.futures.arrival[self.lattice.streams]

    @cached_property
    def level(self) -> Floats:
        """Margin level of the lattice's streams, shape (K, n) [money/year]."""
        return self.futures.level[self.lattice.streams]

    @cached_property
    def end(self) -> Ints:
        """First period without the stream, shape (K, n)."""
        life = self.growth.life[self.lattice.streams]
        ends: Ints = np.minimum(self.arrival + life[:, None], self.timeline.periods)
        return ends

    @cached_property
    def _growth_factor(self) -> Floats:
        rates = self.growth.growth[self.lattice.streams]
        return np.asarray((1.0 + rates[:, None]) ** self.timeline.years[None, :-1])

    @cached_property
    def _worth_from(self) -> Floats:
        """Present value per unit of level from each period to the horizon, shape (K, T + 1)."""
        flows = self._growth_factor * self.timeline.during * self.timeline.dt
        sums = np.cumsum(flows[:, ::-1], axis=1)[:, ::-1]
        return np.concatenate([sums, np.zeros((len(sums), 1))], axis=1)

    @cached_property
    def _worth_at_end(self) -> Floats:
        worth: Floats = np.take_along_axis(self._worth_from, self.end.astype(np.intp), axis=1)
        return worth

    @cached_property
    def _swing_at_arrival(self) -> dict[int, Floats]:
        there = {}
        for row, stream in enumerate(self.lattice.streams):
            path = self.futures.log_swing[stream]
            if path is not None:
                first = np.minimum(self.arrival[row], self.timeline.periods - 1)
                there[row] = np.take_along_axis(path, first[None].astype(np.intp), axis=0)[0]
        return there

    def known_level(self, t: int) -> Floats:
        """Margin level times swing as seen at the start of `t`; 0 before arrival, shape (K, n)."""
        seen = self.level * (self.arrival <= t)
        for row, start in self._swing_at_arrival.items():
            path = self.futures.log_swing[self.lattice.streams[row]]
            if path is not None:
                # Before arrival the row is 0 whatever the path; capping keeps exp finite.
                seen[row] *= np.exp(np.minimum(path[t] - start, 700.0))
        return seen

    def expected_margin(self, known: Floats, period: int) -> Floats:
        """Discounted margin in `period` given the `known` level, shape (K, n) [money].

        The swing is a martingale, so the known level is the expected one.
        """
        flow = self._growth_factor[:, period] * (self.timeline.during[period] * self.timeline.dt)
        margin: Floats = known * flow[:, None] * (self.end > period)
        return margin

    def remaining(self, known: Floats, period: int) -> Floats:
        """Discounted expected margin from `period` on, given `known`, shape (K, n) [money]."""
        worth = self._worth_from[:, period][:, None] - self._worth_at_end
        return known * np.maximum(worth, 0.0)

    @cached_property
    def _seen(self) -> Floats | None:
        return None if self.scores is None else self.scores.of_arrivals(self.futures.arrival)

    def outlook(self, t: int) -> Floats | None:
        """Expected part of each stream's z that drivers cause, as seen at `t`, shape (K, n)."""
        if self.scores is None or self._seen is None:
            return None
        absent = self.scores.absent[:, t][:, None]
        score = np.where(self.futures.arrival <= t, self._seen, absent)
        outlook: Floats = self.scores.gain[self.lattice.streams] @ score
        return outlook

    @cached_property
    def multipliers(self) -> tuple[tuple[Floats, Floats | None], ...]:
        """Multiplier of each target, plain and eased, shape (n,) each."""
        return tuple(multiplier_draws(target, self.futures) for target in self.lattice.targets)

    @cached_property
    def _recent(self) -> dict[int, Charges]:
        return {}

    def charges(self, t: int) -> Charges:
        """Retrofit charges at the start of period `t`."""
        if t not in self._recent:
            # A sweep looks one period ahead and comes back to it; older ones are not needed.
            self._recent.pop(t + 2, None)
            self._recent[t] = self._charges(t)
        return self._recent[t]

    def _charges(self, t: int) -> Charges:
        now = float(self.timeline.at_start[t])
        prices = now * float(self.timeline.price_level[t])
        plain: list[Floats] = []
        eased: list[Floats | None] = []
        for target, (multiplier, easier) in zip(
            self.lattice.targets, self.multipliers, strict=True
        ):
            scale, lost = prices * target.price, now * target.downtime
            plain.append(scale * multiplier + lost)
            eased.append(None if easier is None else scale * easier + lost)
        visits = tuple(prices * visit for visit in self.lattice.visits)
        return Charges(tuple(plain), tuple(eased), visits)


def multiplier_draws(target: Target, futures: Futures) -> tuple[Floats, Floats | None]:
    """Multiplier of a retrofit in each future, plain and eased, on the same quantile."""
    quantile = futures.quantile[target.option]
    plain = triangular_quantile(quantile, target.bounds)
    if target.easing is None:
        return plain, None
    return plain, triangular_quantile(quantile, target.easing.bounds)
