"""What one block of futures holds for one cluster: margins, what is known of them, charges."""

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Protocol

import numpy as np

from optioneer.arrays import Floats, Indices, Ints
from optioneer.valuation.hours import Attendance, HoursSeen, Work
from optioneer.valuation.lattice.charges import Charges, multiplier_draws, rows_eased
from optioneer.valuation.lattice.lattice import Lattice, Target
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.lives import Lives, sale_worth
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.scores import Scores
from optioneer.valuation.worlds.timeline import Timeline

MOMENTS = 2**16
"""States x futures x periods that are looked at together, at most: what a cache holds."""

_NOBODY: Indices = np.empty(0, dtype=np.intp)
"""No future."""


@dataclass(frozen=True)
class View:
    """A block of n futures as one lattice meets them.

    What is asked of several periods comes with one axis of moments, period after period and in
    each all futures: S periods are S x n moments.

    Parameters
    ----------
    lattice, timeline, growth
        What is valued, its clock and the scenario.
    scores
        What arrivals say of drivers; none when no stream of the scenario hangs on one.
    futures
        The block.
    hours
        Hours there are and what they are worth; none where they are not limited.
    heard
        By how many periods the lattice knows later than it might whose turn it is to pay for a
        visit.
    """

    lattice: Lattice
    timeline: Timeline
    growth: Growth
    scores: Scores | None
    futures: Futures
    hours: HoursSeen | None = None
    heard: int = 0

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
        life = self.futures.life[self.lattice.streams] if self.futures.life.size else self._life
        ends: Ints = np.minimum(self.arrival + life, self.timeline.periods)
        return ends

    @property
    def _life(self) -> Ints:
        """Whole periods that each stream lasts where that is known, shape (K, 1)."""
        return self.growth.life[self.lattice.streams][:, None]

    @cached_property
    def stay(self) -> Ints:
        """Period at whose start the machine is sold, T at the horizon, shape (n,)."""
        if self.futures.stay.size:
            return self.futures.stay
        return np.full(self.futures.count, self.timeline.periods, dtype=np.int32)

    @cached_property
    def lives(self) -> Lives | None:
        """What can be known of lives and of the stay; none where both are known beforehand."""
        ranged = any(self.growth.life_range(int(k)) is not None for k in self.lattice.streams)
        if not ranged and self.growth.stay is None:
            return None
        return Lives(self.growth, self.timeline, self.lattice.streams)

    def elsewhere(self, futures: Futures, hours: HoursSeen | None, *, heard: int) -> "View":
        """The same lattice, clock and scenario in other futures, heard of so many periods late."""
        other = replace(self, futures=futures, hours=hours, heard=heard)
        for name in ("lives", "_growth_factor", "_worth_from"):  # hang on no future
            vars(other)[name] = getattr(self, name)
        return other

    def sold(self, period: int) -> Indices:
        """Futures in which the machine is sold at the start of a period before the horizon."""
        return self._sold_in.get(period, _NOBODY)

    @cached_property
    def _sold_in(self) -> dict[int, Indices]:
        """By period before the horizon, the futures in which the machine is sold then, rising."""
        stay = self.futures.stay
        sold = np.flatnonzero(np.bincount(stay)[: self.timeline.periods])
        return {period: np.flatnonzero(stay == period) for period in sold.tolist()}

    def receipts(self, period: int) -> Floats:
        """What each state brings at a sale at the start of a period, discounted, (P,) [money]."""
        receipts: Floats = self.sale_worth[:, period] @ self.lattice.resale_prices
        return receipts

    @cached_property
    def sale_worth(self) -> Floats:
        """What prices of which each share comes back bring at a sale, shape (D, T + 1)."""
        return sale_worth(self.lattice.resale_shares, self.timeline)

    @cached_property
    def sale_left(self) -> Floats:
        """The same from each period on, times the chance of a sale then; see `Lives.sale`."""
        return self._lives.sale(self.lattice.resale_shares)

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

    @property
    def span(self) -> int:
        """Number of periods that are worth looking at together: small arrays cost mostly calls."""
        return max(MOMENTS // (self.lattice.size * self.futures.count), 1)

    def moments(self, place: int) -> slice:
        """The moments of the period at this place among those asked of."""
        return slice(place * self.futures.count, (place + 1) * self.futures.count)

    def known_level(self, periods: range) -> Floats:
        """Margin level times swing as seen at the start; 0 before arrival, shape (K, S x n).

        It is 0 again once work has ended of which nobody knew when it would.
        """
        here = self.arrival[:, None] <= _column(periods)
        if self.lives is not None:
            here &= self.end[:, None] > _column(periods)
        seen = self.level[:, None] * here
        for row, start in self._swing_at_arrival.items():
            path = self.futures.log_swing[self.lattice.streams[row]]
            if path is not None:
                # Before arrival the row is 0 whatever the path; capping keeps exp finite.
                since = path[periods.start : periods.stop] - start
                seen[row] *= np.exp(np.minimum(since, 700.0))
        return _flat(seen)

    def absent(self, periods: range) -> Floats:
        """1 before a stream's arrival is seen at the start, else 0, shape (K, S x n)."""
        return _flat((self.arrival[:, None] > _column(periods)).astype(np.float64))

    def expected_margin(self, known: Floats, periods: range, ahead: int = 0) -> Floats:
        """Discounted margin in the periods so far `ahead`, shape (K, S x n) [money].

        Parameters
        ----------
        known
            From ``known_level(periods)``; the swing is a martingale, so it is the expected one.
        periods
            When it was known.
        ahead
            Periods from then on; 0: what is really there, else what can be expected.
        """
        if ahead > 0 and self.lives is not None:
            worth = self._chances(periods, ahead)
            return _flat(known.reshape(worth.shape) * worth)
        during = slice(periods.start + ahead, periods.stop + ahead)
        flow = self._growth_factor[:, during] * (self.timeline.during[during] * self.timeline.dt)
        there = self.end[:, None] > _column(periods) + ahead
        if self.futures.stay.size:
            there &= self.stay > _column(periods)
        margin: Floats = known.reshape(there.shape) * flow[:, :, None] * there
        return _flat(margin)

    def remaining(self, known: Floats, periods: range, ahead: int = 0) -> Floats:
        """Discounted expected margin from so far `ahead` on, shape (K, S x n) [money]."""
        if self.lives is not None:
            worth = self._chances(periods, ahead, onward=True)
            return _flat(known.reshape(worth.shape) * worth)
        since = slice(periods.start + ahead, periods.stop + ahead)
        worth = self._worth_from[:, since, None] - self._worth_at_end[:, None]
        np.maximum(worth, 0.0, out=worth)
        worth *= known.reshape(worth.shape)
        return _flat(worth)

    def work_in(self, known: Floats, periods: range, ahead: int) -> Work:
        """What is expected to be earned so far ahead of each of S periods, and the time for it.

        Work that may have ended by then, or a machine that may be gone, counts by its chance.
        """
        during = slice(periods.start + ahead, periods.stop + ahead)
        whole = self.timeline.during[during] * self.timeline.dt
        if ahead == 0 or self.lives is None:
            margin = self.expected_margin(known, periods, ahead)
            years = np.repeat(whole, self.futures.count)
            return Work(margin, np.broadcast_to(years, margin.shape), years)
        worth = self._chances(periods, ahead)
        margin = _flat(known.reshape(worth.shape) * worth)
        worth /= self._growth_factor[:, during, None]
        years = np.repeat(whole * self._chance_kept(periods, ahead), self.futures.count)
        return Work(margin, _flat(worth), years)

    def stretch(self, known: Floats, periods: range, ahead: tuple[Indices, Indices]) -> Work:
        """The same from so far ahead up to the period so far ahead, at most to the horizon.

        Parameters
        ----------
        known
            From ``known_level(periods)``.
        periods
            S of them.
        ahead
            First period of the stretch and the one after its last, from each of `periods` on,
            shape (S,) each.
        """
        start = _column(periods)
        first, last = (np.minimum(start + each[:, None], self.timeline.periods) for each in ahead)
        whole = self.timeline.annuity[first] - self.timeline.annuity[last]
        if self.lives is None:
            left = np.clip(self.end[:, None], first, last).astype(np.intp)
            worth = self._worth_from[:, first] - np.take_along_axis(
                self._worth_from, left.reshape(len(left), -1), axis=1
            ).reshape(left.shape)
            years = self.timeline.annuity[first] - self.timeline.annuity[left]
        else:
            worth = self._chances(periods, first - start, onward=True)
            # From the horizon on nothing is worth anything.
            if (last < self.timeline.periods).any():
                worth = worth - self._chances(periods, last - start, onward=True)
            # As long as it is worth, had it not grown since first chips.
            alone = self._worth_from[:, first] - self._worth_from[:, last]
            years = worth * np.divide(whole, alone, out=np.zeros_like(alone), where=alone > 0.0)
            lives, now = self.lives.annuity, self.lives.chance_kept[start]
            ahead_of = lives[first] - lives[last]
            whole = np.divide(ahead_of, now, out=np.zeros_like(ahead_of), where=now > 0.0)
        margin = known.reshape(worth.shape) * worth
        return Work(_flat(margin), _flat(years), np.repeat(whole.ravel(), self.futures.count))

    def _chance_kept(self, periods: range, ahead: int) -> Floats:
        """Chance that the machine is there so far ahead, given that it is there now, (S,)."""
        kept = self._lives.chance_kept
        now = kept[periods.start : periods.stop]
        then = kept[periods.start + ahead : periods.stop + ahead]
        return np.divide(then, now, out=np.zeros_like(then), where=now > 0.0)

    def _chances(self, periods: range, ahead: int | Indices, *, onward: bool = False) -> Floats:
        """What a unit of level known then is worth so far ahead, or from then on, (K, S, n).

        Given that stream and machine are there at the start of the periods.
        """
        t = np.arange(periods.start, periods.stop)
        came = np.minimum(self.arrival, self.timeline.periods - 1).astype(np.intp)
        worth = np.empty((len(came), len(t), self.futures.count))
        for row, arrival in enumerate(came):
            given = self._lives.worth_given(row, t, t + np.ravel(ahead), onward=onward)
            # The periods are known to exist; "clip" only spares numpy the check.
            given.take(arrival, axis=1, out=worth[row], mode="clip")
        return worth

    @property
    def _lives(self) -> Lives:
        if self.lives is None:
            raise RuntimeError("Nothing ends that is not known to end.")
        return self.lives

    def outlook(self, periods: range) -> Floats | None:
        """Expected part of each stream's z that drivers cause, as seen then, shape (K, S x n)."""
        if self.scores is None:
            return None
        telling, arrival, gain = self._telling
        score = np.empty((len(telling), len(periods), self.futures.count))
        tables = self.scores.by_arrival(telling, periods)
        for table, came, own in zip(tables, arrival, score, strict=True):
            # The periods are known to exist; "clip" only spares numpy the check.
            table.take(came, axis=1, out=own, mode="clip")
        outlook: Floats = gain @ _flat(score)
        return outlook

    @cached_property
    def _telling(self) -> tuple[Indices, Indices, Floats]:
        """Streams that say something of drivers, their arrivals and what each weighs, (K, J)."""
        gain = np.empty((0, 0)) if self.scores is None else self.scores.gain[self.lattice.streams]
        telling = np.flatnonzero(gain.any(axis=0))
        return telling, self.futures.arrival[telling].astype(np.intp), gain[:, telling]

    @cached_property
    def multipliers(self) -> tuple[tuple[Floats, Floats | None], ...]:
        """Multiplier of each target, plain and eased, shape (n,) each."""
        return tuple(multiplier_draws(target, self.futures) for target in self.lattice.targets)

    def charges(self, periods: range, ahead: int = 0) -> Charges:
        """Retrofit charges so far ahead of the start of the periods.

        Whose turn it is to pay for a visit is taken as it is at their start.
        """
        now, periods = periods, range(periods.start + ahead, periods.stop + ahead)
        when = slice(periods.start, periods.stop)
        worth = self.timeline.at_start[when, None]
        prices = worth * self.timeline.retrofit_level[when, None]
        visits, count = len(self._charged), self.futures.count
        table = np.empty((visits + len(self.lattice.visits), len(periods), count))
        for row, (target, multiplier) in zip(table, self._charged, strict=False):
            np.multiply(prices * target.price, multiplier, out=row)
            if (most := self._firm(target, periods)) is not None:
                np.minimum(row, most, out=row)
            np.add(row, worth * target.downtime, out=row)
        for row, visit, turn in zip(table[visits:], self.lattice.visits, self._turns, strict=True):
            row[:] = prices * visit
            if turn is not None:
                np.multiply(row, turn[self._turn_seen(now)], out=row)
        easier = rows_eased([eased is not None for _, eased in self.multipliers])
        return Charges(table.reshape(len(table), len(periods) * count), easier)

    @cached_property
    def _charged(self) -> tuple[tuple[Target, Floats], ...]:
        """Each target with its multiplier, then each that is eased with the eased one, (n,)."""
        drawn = list(zip(self.lattice.targets, self.multipliers, strict=True))
        eased = ((target, easier) for target, (_, easier) in drawn if easier is not None)
        return (*((target, plain) for target, (plain, _) in drawn), *eased)

    @cached_property
    def _turns(self) -> tuple[Floats | None, ...]:
        """Part of each visit that the lattice pays, shape (T, n); none where it pays all."""
        turns = self.lattice.turns or (None,) * len(self.lattice.visits)
        periods = self.timeline.periods
        return tuple(t if t is None else t.share(self.futures.arrival, periods) for t in turns)

    def _turn_seen(self, periods: range) -> Indices:
        return np.maximum(np.arange(periods.start, periods.stop) - self.heard, 0)

    def _firm(self, target: Target, periods: range) -> Floats | None:
        """Most that a retrofit costs at the start of the periods, shape (S, 1) [money]."""
        if target.firm is None:
            return None
        clock, when = self.timeline, slice(periods.start, periods.stop)
        paid = clock.at_start * clock.retrofit_level / clock.price_level * target.firm.price
        held = clock.lead + clock.years <= target.firm.years
        most: Floats = np.where(held, paid, np.inf)[when, None]
        return most


class Pricing(Protocol):
    """What says the price of an hour: the shop as a whole, see `apart.shop`."""

    @property
    def outline(self) -> Lattice:
        """Streams that share the hours, without any state."""
        ...

    def price(self, view: View, attendance: Attendance) -> Floats:
        """Price of an hour in each period and future, shape (T, n) [money]."""
        ...


def _column(periods: range) -> Ints:
    return np.arange(periods.start, periods.stop, dtype=np.int32)[:, None]


def _flat(values: Floats) -> Floats:
    """Shape (K, S x n) from (K, S, n)."""
    return values.reshape(len(values), values.shape[1] * values.shape[2])
