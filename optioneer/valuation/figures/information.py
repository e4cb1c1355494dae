"""What it is worth to know something before the order, and to order accordingly."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.worlds.futures import replicate_edges

FOLDS = 8
"""Groups of replicates that take turns: chosen on the others, valued on this one."""

Pick = Callable[[Sequence[Floats]], tuple[int, ...]]
"""From the mean cost of each state, shape (P,) a cluster, to one state a cluster."""


@dataclass(frozen=True)
class Knowledge:
    """What is told of each of N futures before the order.

    Parameters
    ----------
    told
        Which of a few answers, 0, 1, 2 ..., shape (N,).
    """

    told: Indices

    @cached_property
    def answers(self) -> int:
        """Number of answers."""
        return int(self.told.max()) + 1

    @property
    def nothing(self) -> bool:
        """Whether every future gets the same answer."""
        return bool((self.told == self.told[0]).all())

    @cached_property
    def cell(self) -> Indices:
        """Fold and answer of each future as one number, shape (N,)."""
        return _folds(len(self.told)) * self.answers + self.told

    @cached_property
    def members(self) -> Floats:
        """Whether a future lies in a cell, 0 or 1, shape (N, folds x answers)."""
        cells = self.answers * int(_folds(len(self.told)).max() + 1)
        return np.asarray(self.cell[:, None] == np.arange(cells), dtype=np.float64)

    def elsewhere(self, sums: Floats) -> Floats:
        """Sums over the other folds with the same answer, from sums by cell in the last axis."""
        split = sums.reshape(*sums.shape[:-1], -1, self.answers)
        others: Floats = split.sum(axis=-2, keepdims=True) - split
        return others.reshape(sums.shape)


def informed_cost(
    costs: Sequence[Floats], knowledge: Knowledge, choose: Pick, *, otherwise: tuple[int, ...]
) -> Floats:
    """Cost of packages chosen knowing the answer, by future, shape (N,) [money].

    Parameters
    ----------
    costs
        Cost of each state in each future, shape (P, N) a cluster [money]; infinite where a state
        cannot be ordered.
    choose
        How a package is chosen from mean costs.
    otherwise
        Package where the other folds never got the answer.

    Notes
    -----
    Cross-fitted: the package for an answer in one fold of futures is the best on the *other*
    folds. Chosen and valued on the same futures the gain would be inflated by choosing what
    happened to be cheap there; this way it comes out a little low instead.
    """
    count = knowledge.elsewhere(knowledge.members.sum(axis=0))
    means = [_means_elsewhere(cost, knowledge, count) for cost in costs]
    chosen = np.array(
        [
            choose([mean[:, cell] for mean in means]) if count[cell] else otherwise
            for cell in range(len(count))
        ],
        dtype=np.intp,
    )
    futures = np.arange(len(knowledge.told))
    total = np.zeros(len(futures))
    for cost, states in zip(costs, chosen.T, strict=True):
        total += cost[states[knowledge.cell], futures]
    return total


def _means_elsewhere(cost: Floats, knowledge: Knowledge, count: Floats) -> Floats:
    """Mean cost of each state over the other folds, shape (P, cells)."""
    orderable = np.isfinite(cost[:, 0])
    means = np.full((len(cost), len(count)), np.inf)
    sums = knowledge.elsewhere(cost[orderable] @ knowledge.members)
    means[orderable] = sums / np.maximum(count, 1.0)
    return means


def _folds(count: int) -> Indices:
    """The fold of each future: whole replicates, for only they are independent, shape (N,)."""
    sizes = np.diff(replicate_edges(count))
    folds = min(FOLDS, len(sizes))
    return np.repeat(np.arange(len(sizes)) * folds // len(sizes), sizes)


def thirds(values: Floats) -> Indices:
    """Low, middle or high third of `values`, 0..2, shape as given; ties stay together."""
    lower, upper = np.quantile(values, [1 / 3, 2 / 3])
    third: Indices = (values > lower).astype(np.intp) + (values > upper)
    return third


def whether_and_when(arrival: Indices, never: int) -> Indices:
    """0 where a stream stays away, else 1, 2, 3 for an early, middle or late arrival, shape (N,).

    Parameters
    ----------
    arrival
        Period of arrival, shape (N,).
    never
        The number that means it stays away.
    """
    told = np.zeros(len(arrival), dtype=np.intp)
    comes = arrival < never
    if comes.any():
        told[comes] = 1 + thirds(arrival[comes].astype(np.float64))
    return told
