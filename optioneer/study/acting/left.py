"""What the advised package leaves for later in one cluster: which options, and which together."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices
from optioneer.study.advice.package import FreshLook
from optioneer.study.advice.verdicts import SELDOM
from optioneer.valuation.acting.board import Joint, state_table
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice

TOGETHER = 0.9
"""Of the futures in which either of two options is fitted the share in which both are at once, from
which on they are one choice."""

MOST_GROUPS = 8
"""Choices of one cluster that conditions are looked for, the likeliest."""


@dataclass(frozen=True)
class LeftOver:
    """What one cluster of the advised package leaves for later.

    Parameters
    ----------
    cluster
        Its index.
    part, states, start
        The part that what is left leads to, its states in the whole, and the one that is ordered.
    groups
        Targets of the part that are fitted together; where two share a slot the dearer is later.
    chances
        Share of futures in which the policy behind the advice fits each target of the part.
    """

    cluster: int
    whole: Lattice
    part: Lattice
    states: Indices
    start: int
    groups: tuple[Joint, ...]
    chances: tuple[float, ...]

    def chance(self, group: Joint) -> float:
        """Share of futures in which a group is fitted, the likeliest of it."""
        return max(self.chances[i] for i in group)

    @property
    def apart(self) -> tuple[Joint, ...]:
        """Targets that no rule is looked for, each alone."""
        grouped = {i for group in self.groups for i in group}
        return tuple((i,) for i in range(len(self.part.targets)) if i not in grouped)


def left_over(shown: FreshLook, cluster: int) -> Iterator[LeftOver]:
    """What a cluster of the advised package leaves for later, if anything."""
    lattice, state = shown.elsewhere.costs[cluster].lattice, shown.package[cluster]
    periods = shown.elsewhere.problem.timeline.periods
    when = shown.journeys[cluster].fitted_in
    often = (when < periods).mean(axis=1)
    told = np.flatnonzero(often >= SELDOM)
    if isinstance(lattice, Listed) or not len(told):
        return
    kept = tuple(lattice.targets[i] for i in told)
    part, states = replace(lattice, targets=kept).reachable(state)
    start = int(np.flatnonzero(states == state)[0])
    chances = tuple(float(one) for one in often[told])
    likely = sorted(_together(when[told], periods), key=lambda g: -max(chances[i] for i in g))
    groups = _sound(part, start, likely)
    yield LeftOver(cluster, lattice, part, states, start, groups, chances)


def _together(when: NDArray[np.int32], periods: int) -> list[Joint]:
    """Targets in groups that are fitted at the same time, from the periods in which each is."""
    groups: list[Joint] = []
    for i, own in enumerate(when):
        tied = [group for group in groups if any(_one(own, when[j], periods) for j in group)]
        groups = [group for group in groups if group not in tied]
        groups.append(tuple(sorted({i, *(j for group in tied for j in group)})))
    return groups


def _one(first: NDArray[np.int32], second: NDArray[np.int32], periods: int) -> bool:
    either = (first < periods) | (second < periods)
    both: Floats = ((first == second) & either).sum() / max(either.sum(), 1)
    return bool(both >= TOGETHER)


def _sound(part: Lattice, start: int, groups: list[Joint]) -> tuple[Joint, ...]:
    """Those that can all be fitted in the end, the likeliest first taken in, by rising price."""

    def price(group: Joint) -> float:
        return sum(part.targets[i].price for i in group)

    kept: list[Joint] = []
    for group in groups[:MOST_GROUPS]:
        able = sorted([*kept, group], key=price)
        if (state_table(part, start, able) >= 0).all():
            kept = able
    return tuple(kept)
