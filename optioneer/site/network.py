"""Dates of a task network: earliest, latest, float, critical chain, trades in turn.

The tasks axis comes first, the runs axis last.

References
----------
Kelley and Walker, Critical-path planning and scheduling, 1959 (forward and backward pass);
Malcolm, Roseboom, Clark and Fazar, Application of a technique for research and development program
evaluation, Operations Research 7(5), 1959 (mean of a three-point duration); Balas, Machine
sequencing via disjunctive graphs, Operations Research 17(6), 1969 (trades in turn).
"""

import graphlib
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from heapq import heappop, heappush
from itertools import combinations, pairwise
from typing import NamedTuple

import numpy as np
from scipy.special import betaincinv

from optioneer.arrays import Bools, Floats
from optioneer.site.calendar import Calendar

_TOUCH = 1e-5
"""Instants closer than this are the same [days]."""


class CycleError(ValueError):
    """Tasks wait for each other in a ring.

    Parameters
    ----------
    ring
        Their numbers, each waiting for the one before.
    """

    def __init__(self, ring: Sequence[int]) -> None:
        self.ring = tuple(ring)
        super().__init__(self.ring)


class Arc(NamedTuple):
    """`after` starts no sooner than `lag` calendar days after `before` has finished."""

    before: int
    after: int
    lag: float = 0.0


@dataclass(frozen=True, eq=False)
class Network:
    """Tasks by number, and what each waits for.

    Parameters
    ----------
    elapsed
        Per task: whether it takes calendar days (transport, curing) instead of working days.
    release
        Per task: instant before which it does not start.
    calendar
        The working calendar, the same for all.
    """

    elapsed: tuple[bool, ...]
    arcs: tuple[Arc, ...]
    release: tuple[float, ...]
    calendar: Calendar

    @cached_property
    def order(self) -> tuple[int, ...]:
        """All tasks, each after those it waits for; of several that could come next the first.

        Raises
        ------
        CycleError
            They wait for each other in a ring.
        """
        waiting = graphlib.TopologicalSorter(
            {task: [arc.before for arc in arcs] for task, arcs in enumerate(self.into)}
        )
        try:
            waiting.prepare()
        except graphlib.CycleError as error:
            raise CycleError(error.args[1][:-1]) from None
        order: list[int] = []
        ready: list[int] = []
        while waiting.is_active():
            for task in waiting.get_ready():
                heappush(ready, task)
            order.append(heappop(ready))
            waiting.done(order[-1])
        return tuple(order)

    @cached_property
    def into(self) -> tuple[tuple[Arc, ...], ...]:
        """Per task the arcs that end in it."""
        return tuple(
            tuple(arc for arc in self.arcs if arc.after == task)
            for task in range(len(self.elapsed))
        )

    @cached_property
    def out_of(self) -> tuple[tuple[Arc, ...], ...]:
        """Per task the arcs that start from it."""
        return tuple(
            tuple(arc for arc in self.arcs if arc.before == task)
            for task in range(len(self.elapsed))
        )

    def before(self, task: int) -> frozenset[int]:
        """A task and all that it waits for, however far back."""
        return reached(task, lambda one: [arc.before for arc in self.into[one]])

    def later(self, task: int) -> frozenset[int]:
        """A task and all that waits for it, however far on."""
        return reached(task, lambda one: [arc.after for arc in self.out_of[one]])

    def also(self, arcs: Sequence[Arc]) -> "Network":
        """The same network with more arcs."""
        return replace(self, arcs=(*self.arcs, *arcs))

    def start(self, task: int, ready: Floats, days: Floats) -> Floats:
        """Earliest start of a task that is ready at an instant and takes some days."""
        return ready if self.elapsed[task] else self.calendar.start(ready, days)


def reached(task: int, beside: Callable[[int], Iterable[int]]) -> frozenset[int]:
    """A task and all that are reached from it, step by step."""
    seen, ahead = {task}, [task]
    while ahead:
        new = set(beside(ahead.pop())) - seen
        seen |= new
        ahead.extend(new)
    return frozenset(seen)


def pert_mean(low: Floats, likely: Floats, high: Floats) -> Floats:
    """Mean of a three-point duration: (low + 4 likely + high) / 6."""
    return (low + 4 * likely + high) / 6


def pert_quantile(share: Floats, low: Floats, likely: Floats, high: Floats) -> Floats:
    """Duration that a share of the runs stays below.

    Parameters
    ----------
    share
        Between 0 and 1, shape (tasks, runs).
    low, likely, high
        Three points of each task, shape (tasks, 1) [days].

    Notes
    -----
    Beta distribution on [low, high] with exponents 1 + 4 (likely - low) / (high - low) and
    1 + 4 (high - likely) / (high - low), whose mean is `pert_mean`; all equal means certain.
    """
    width = np.where(high > low, high - low, 1.0)
    place = (likely - low) / width
    return low + (high - low) * betaincinv(1 + 4 * place, 1 + 4 * (1 - place), share)


def forward(network: Network, days: Floats) -> tuple[Floats, Floats]:
    """Earliest starts and finishes, shape (tasks, runs).

    Parameters
    ----------
    days
        Durations, shape (tasks, runs) [calendar or working days].
    """
    starts, finishes = np.empty_like(days), np.empty_like(days)
    for task in network.order:
        ready = np.full(days.shape[1], network.release[task])
        for arc in network.into[task]:
            ready = np.maximum(ready, finishes[arc.before] + arc.lag)
        starts[task] = network.start(task, ready, days[task])
        if network.elapsed[task]:
            finishes[task] = starts[task] + days[task]
        else:
            finishes[task] = network.calendar.finish(starts[task], days[task])
    return starts, finishes


def backward(network: Network, days: Floats, latest: Floats) -> tuple[Floats, Floats]:
    """Latest starts and finishes that keep every limit, shape (tasks, runs).

    Parameters
    ----------
    days
        Durations, shape (tasks, runs).
    latest
        Latest finish of each task on its own account, shape (tasks, runs); infinite: no limit.
        Every task without a follower needs a limit.
    """
    starts, finishes = np.empty_like(days), np.empty_like(days)
    for task in reversed(network.order):
        limit = latest[task]
        for arc in network.out_of[task]:
            limit = np.minimum(limit, starts[arc.after] - arc.lag)
        finishes[task] = limit
        if network.elapsed[task]:
            starts[task] = limit - days[task]
        else:
            starts[task] = network.calendar.latest_start(limit, days[task])
    return starts, finishes


def float_days(network: Network, early: Floats, late: Floats) -> Floats:
    """Working days between earliest and latest starts; below 0 where a limit is already missed."""
    work = network.calendar.work_before
    return np.round(work(late) - work(early), 3)


def driving(network: Network, days: Floats, dates: tuple[Floats, Floats], end: int) -> Bools:
    """Whether a delay of the task by a working day delays `end`, shape (tasks, runs).

    Parameters
    ----------
    days
        Durations, shape (tasks, runs).
    dates
        Earliest starts and finishes from `forward`.
    end
        The task that must not be later.

    Notes
    -----
    The critical chain: what has no float against the end alone. What ends on a day off, before a
    task that waits for the next working day, may slip until then.
    """
    starts, finishes = dates
    latest = np.full(days.shape, np.inf)
    loose = [task for task in range(len(days)) if not network.out_of[task]]
    latest[loose] = finishes.max(axis=0)
    latest[end] = finishes[end]
    late, _ = backward(network, days, latest)
    waited_for = np.zeros((len(days), 1), dtype=np.bool_)
    waited_for[list(network.before(end))] = True
    return waited_for & (float_days(network, starts, late) <= _TOUCH)


def in_turn(
    network: Network,
    days: Floats,
    *,
    groups: Sequence[Sequence[int]],
    ends: Sequence[int],
    most_nodes: int = 2000,
) -> tuple[tuple[Arc, ...], bool]:
    """Arcs that put the tasks of each group one after the other, and whether they are the best.

    Parameters
    ----------
    days
        Planned durations, shape (tasks, 1).
    groups
        Tasks that share a trade or a crew, which can be in one place at a time.
    ends
        Tasks whose finishes count, the most important one first; then the sum of all finishes.
    most_nodes
        Limit of the search; beyond it the best order found so far is returned as not proven.

    Notes
    -----
    Branch and bound over pairs that overlap: one before the other, or the other way round. Every
    arc only delays, so the dates with some pairs still overlapping are a lower bound.
    """
    search = _Turns(network, days, tuple(groups), tuple(ends))
    nodes = 0
    stack: list[tuple[Arc, ...]] = [()]
    while stack and (nodes < most_nodes or search.cost is None):
        nodes += 1
        stack.extend(search.branches(stack.pop()))
    return (*search.best, *search.kept()), not stack


class _Turns:
    """The best order so far."""

    def __init__(
        self,
        network: Network,
        days: Floats,
        groups: tuple[Sequence[int], ...],
        ends: tuple[int, ...],
    ) -> None:
        self.network, self.days, self.groups, self.ends = network, days, groups, ends
        self.best: tuple[Arc, ...] = ()
        self.cost: tuple[float, ...] | None = None

    def branches(self, arcs: tuple[Arc, ...]) -> list[tuple[Arc, ...]]:
        """Ways to settle the first overlap; none when there is none left, or no hope."""
        try:
            starts, finishes = forward(self.network.also(arcs), self.days)
        except CycleError:
            return []
        cost = (*finishes[list(self.ends), 0], round(float(finishes.sum()), 6))
        if self.cost is not None and cost >= self.cost:
            return []
        pair = self._overlap(starts[:, 0], finishes[:, 0])
        if pair is None:
            self.best, self.cost = arcs, cost
            return []
        first, second = sorted(pair, key=lambda task: (starts[task, 0], finishes[task, 0]))
        return [(*arcs, Arc(second, first)), (*arcs, Arc(first, second))]

    def kept(self) -> Iterator[Arc]:
        """Arcs that keep the planned turns of each group when durations change."""
        starts, _ = forward(self.network.also(self.best), self.days)
        for group in self.groups:
            busy = [task for task in group if self.days[task, 0] > 0]
            busy.sort(key=lambda task: (starts[task, 0], task))
            yield from (Arc(one, other) for one, other in pairwise(busy))

    def _overlap(self, starts: Floats, finishes: Floats) -> tuple[int, int] | None:
        pairs = (pair for group in self.groups for pair in combinations(group, 2))
        clashing = (
            (one, other)
            for one, other in pairs
            if min(finishes[one], finishes[other]) - max(starts[one], starts[other]) > _TOUCH
        )
        return min(clashing, key=lambda pair: min(starts[pair[0]], starts[pair[1]]), default=None)
