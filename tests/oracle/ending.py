"""Every package valued exactly where lives, stays and chances are ranges, seen as they end.

Each stream is a list of outcomes: never, or a period of arrival with the period of its end (T: it
does not end before the horizon). At the start of period t the shop knows of each stream that it has
not come, or that it came in some period and is there, or that it came and ended in some period;
and that the machine is still kept. Lives and the stay are independent of everything else.

Rounding: so many years are floor(years x periods a year + 1/2) periods, at least one; longer than
the horizon is the horizon.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from tests.oracle import exact, hours, machine
from tests.oracle.arrivals import Array, joint, outer, share_before
from tests.oracle.machine import State

Outcome = tuple[int, int]
"""Period of arrival and of the end; (T, T) is never."""


def periods_of(years: float | Triangular | None, case: Case) -> Array:
    """Chance of lasting 1, 2 ... T periods, the last one or longer, shape (T,)."""
    last, a_year = case.growth.periods, case.growth.periods_per_year
    if years is None:
        return np.asarray(np.eye(last)[last - 1])
    if isinstance(years, float):
        return np.asarray(np.eye(last)[min(max(int(years * a_year + 0.5), 1), last) - 1])
    longer = [1.0 - share_before(years, (count + 0.5) / a_year) for count in range(last)]
    longer[0] = 1.0
    return -np.diff([*longer, 0.0])


def outcomes(case: Case) -> list[Outcome]:
    """Everything that may become of a stream, never last."""
    last = case.growth.periods
    return [*((a, e) for a in range(last) for e in range(a + 1, last + 1)), (last, last)]


def chances_of(case: Case) -> Array:
    """Probability of every combination of outcomes, an axis a stream."""
    found = joint(case)
    for axis, stream in enumerate(case.growth.stream):
        found = np.moveaxis(np.tensordot(_ends(case, stream), found, (1, axis)), 0, axis)
    return found


def _ends(case: Case, stream: Stream) -> Array:
    """Probability of each outcome given the period of arrival, shape (outcomes, T + 1)."""
    last, lasting = case.growth.periods, periods_of(stream.lasts_years, case)
    given = np.zeros((len(outcomes(case)), last + 1))
    for row, (arrival, end) in enumerate(outcomes(case)):
        if arrival == last:
            given[row, last] = 1.0
        elif end < last:
            given[row, arrival] = lasting[end - arrival - 1]
        else:
            given[row, arrival] = lasting[last - arrival - 1 :].sum()
    return given


@dataclass(frozen=True)
class Ending:
    """A case whose work and machine may end any time."""

    case: Case

    @cached_property
    def stays(self) -> Array:
        """Chance of a sale at the start of period 1, 2 ... T, shape (T,)."""
        return periods_of(self.case.machine.kept_years, self.case)

    def seen(self, outcome: Outcome, period: int) -> tuple[int, int]:
        """What is known of a stream at the start of a period; T: not yet."""
        arrival, end = outcome
        last = self.case.growth.periods
        if arrival > period:
            return last, last
        return arrival, end if end <= period else last

    def knowledge(self, period: int) -> list[tuple[int, int]]:
        """Everything that may be known of a stream at the start of a period."""
        return list(dict.fromkeys(self.seen(one, period) for one in outcomes(self.case)))

    def told(self, period: int) -> Array:
        """Whether later knowledge belongs to what is known at a period, shape (now, later)."""
        later = self.knowledge(period + 1) if period + 1 < self._last else outcomes(self.case)
        now = self.knowledge(period)
        found = np.zeros((len(now), len(later)))
        for column, one in enumerate(later):
            found[now.index(self.seen(one, period)), column] = 1.0
        return found

    @property
    def _last(self) -> int:
        return self.case.growth.periods

    def sale(self, period: int) -> Array:
        """What comes back at a sale at the start of a period, discounted, shape (states,)."""
        part = period / self._last
        worth = machine.discount(self.case, machine.start(self.case, period))
        base = self.case.machine
        back = []
        for state in machine.states(self.case):
            fitted = [o for o in self.case.catalogue.options if o.option in state]
            own = sum(o.price * o.resale_share**part for o in fitted if o.resale_share)
            bare = base.base_price * base.resale_share**part if base.resale_share else 0.0
            back.append(own + bare)
        return worth * np.array(back)

    def flow(self, period: int, known: Sequence[Outcome]) -> Array:
        """Upkeep and lost margin of a period by what is known, shape (known ..., states)."""
        case, streams = self.case, self.case.growth.stream
        reachable = machine.states(case)
        total: Array = np.array([machine.upkeep(case, state) for state in reachable])
        years = period / case.growth.periods_per_year
        here = np.array([arrival <= period < end for arrival, end in known], dtype=np.float64)
        margins = [stream.margin.likely * (1 + stream.growth) ** years for stream in streams]
        earning = hours.Earning(case, reachable)
        for whether in product((0, 1), repeat=len(streams)):
            there = tuple(m * w for m, w in zip(margins, whether, strict=True))
            lost = sum(there) - earning.of(there)
            share = outer([here if w else 1.0 - here for w in whether])
            total = total + share[..., None] * lost
        middle = machine.discount(case, machine.start(case, period + 0.5))
        return middle / case.growth.periods_per_year * total


def optimum(case: Case) -> dict[State, float]:
    """Expected NPC of each package under the best policy that does not see ahead [money]."""
    ending, retrofits = Ending(case), exact.certain_retrofits(case)
    last = case.growth.periods
    chance = chances_of(case)
    value = chance[..., None] * -ending.sale(last)
    for period in reversed(range(last)):
        for axis in range(chance.ndim):
            told = ending.told(period)
            chance = np.moveaxis(np.tensordot(told, chance, (1, axis)), 0, axis)
            value = np.moveaxis(np.tensordot(told, value, (1, axis)), 0, axis)
        value = exact.best_moves(retrofits, period, chance, value)[0]
        value = value + chance[..., None] * ending.flow(period, ending.knowledge(period))
        value = _or_sold(ending, period, chance, value)
    return exact.packages(case, value.reshape(-1, value.shape[-1]).sum(axis=0))


def _or_sold(ending: Ending, period: int, chance: Array, value: Array) -> Array:
    """Value at the start of a period before it is known whether the machine is sold then."""
    if period == 0:
        return value
    there = ending.stays[period - 1 :].sum()
    sold = ending.stays[period - 1] / there if there > 0.0 else 1.0
    return (1.0 - sold) * value - sold * chance[..., None] * ending.sale(period)


def hindsight(case: Case) -> dict[State, float]:
    """Expected NPC of each package when retrofits are chosen knowing the whole future [money]."""
    ending, retrofits = Ending(case), exact.certain_retrofits(case)
    chance, known = chances_of(case), outcomes(case)
    total = np.zeros(len(machine.states(case)))
    flows = [ending.flow(period, known) for period in range(case.growth.periods)]
    for stay, likely in enumerate(ending.stays, 1):
        if likely > 0.0:
            value = np.ones((*chance.shape, 1)) * -ending.sale(stay)
            for period in reversed(range(stay)):
                value = exact.best_moves(retrofits, period, np.ones(chance.shape), value)[0]
                value = value + flows[period]
            total += likely * (chance[..., None] * value).reshape(-1, len(total)).sum(axis=0)
    return exact.packages(case, total)


def every_future(case: Case) -> tuple[NDArray[np.int32], Array]:
    """All combinations of outcomes and stays that can be, and their chances.

    Returns
    -------
    tuple
        Arrivals, then ends, then stays, shape (2 K + 1, N); probabilities, shape (N,).
    """
    ending, known = Ending(case), np.array(outcomes(case), dtype=np.int32)
    weights = outer([*([np.ones(len(known))] * len(case.growth.stream)), ending.stays])
    weights = weights * chances_of(case)[..., None]
    index = np.nonzero(weights > 0.0)
    streams = [known[axis] for axis in index[:-1]]
    rows = [*(one[:, 0] for one in streams), *(one[:, 1] for one in streams), index[-1] + 1]
    return np.array(rows, dtype=np.int32), weights[index]
