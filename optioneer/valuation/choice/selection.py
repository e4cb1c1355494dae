"""One state a cluster, as cheap as possible within limits on sums over the clusters."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats
from optioneer.valuation.choice.enumeration import TooManyChoicesError, cheapest_by_enumeration

MOST_COMPARED = 3000
"""States of a cluster up to which dominated ones are taken out first."""

_OPTIMAL, _INFEASIBLE = 0, 2


@dataclass(frozen=True)
class Limit:
    """A sum over the clusters that must not pass a bound.

    Parameters
    ----------
    uses
        What each state adds, one array of shape (P,) a cluster.
    room
        The bound.
    """

    uses: Sequence[Floats]
    room: float


def cheapest(costs: Sequence[Floats], limits: Sequence[Limit]) -> tuple[int, ...] | None:
    """The state of each cluster whose costs add up to the least within all limits.

    Parameters
    ----------
    costs
        One array of shape (P,) a cluster [money]; infinite costs cannot be had.
    limits
        The limits; without any the least cost of each cluster.

    Returns
    -------
    The states, proven optimal; none when no choice keeps the limits.
    """
    alone = tuple(int(cost.argmin()) for cost in costs)
    if not all(np.isfinite(cost[state]) for cost, state in zip(costs, alone, strict=True)):
        return None
    if all(keeps(limit, alone) for limit in limits):
        return alone
    states = [undominated_states(costs, limits, cluster) for cluster in range(len(costs))]
    uses = [np.array([limit.uses[i] for limit in limits]) for i in range(len(costs))]
    try:
        return cheapest_by_enumeration(costs, uses, states, tuple(limit.room for limit in limits))
    except TooManyChoicesError:
        return _choice_by_programme(costs, limits, states)


def keeps(limit: Limit, states: Sequence[int]) -> bool:
    """Whether a choice of states keeps a limit."""
    total = sum(float(use[state]) for use, state in zip(limit.uses, states, strict=True))
    return total <= limit.room + 1e-9


def undominated_states(
    costs: Sequence[Floats], limits: Sequence[Limit], cluster: int
) -> NDArray[np.intp]:
    """States that no other one beats in cost and every use; the first of equal ones."""
    rows = np.array([costs[cluster], *(limit.uses[cluster] for limit in limits)])
    states = np.flatnonzero(np.isfinite(costs[cluster]))
    states = states[_firsts(rows[:, states])]
    if len(states) > MOST_COMPARED:
        return states
    points = rows[:, states]
    at_most = np.logical_and.reduce([row[:, None] <= row for row in points])
    np.fill_diagonal(at_most, val=False)
    kept: NDArray[np.intp] = states[~at_most.any(axis=0)]
    return kept


def _firsts(rows: Floats) -> NDArray[np.intp]:
    """Columns of which no earlier one is equal, rising."""
    order = np.lexsort(rows[::-1])  # stable: of equal ones the first comes first
    in_order = rows[:, order]
    new = np.append(True, (in_order[:, 1:] != in_order[:, :-1]).any(axis=0))
    return np.sort(order[new[: len(order)]])


def _choice_by_programme(
    costs: Sequence[Floats], limits: Sequence[Limit], states: Sequence[NDArray[np.intp]]
) -> tuple[int, ...] | None:
    """The same from a mixed-integer programme."""
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415 - heavy, seldom
    from scipy.sparse import csr_array  # noqa: PLC0415 - heavy, seldom

    weight = np.concatenate([cost[kept] for cost, kept in zip(costs, states, strict=True)])
    least = float(weight.min())
    sizes = [len(kept) for kept in states]
    cluster = np.repeat(np.arange(len(states)), sizes)
    one_each = csr_array((np.ones(len(weight)), (cluster, np.arange(len(weight)))))
    rules = [LinearConstraint(one_each, lb=1, ub=1)]
    for limit in limits:
        row = np.concatenate([use[kept] for use, kept in zip(limit.uses, states, strict=True)])
        rules.append(LinearConstraint(row[None, :], ub=limit.room + 1e-9))
    # One state a cluster: a constant on every weight changes no choice and keeps numbers small.
    found = milp(
        weight - least,
        integrality=np.ones(len(weight), dtype=np.intp),
        bounds=Bounds(0, 1),
        constraints=rules,
        options={"mip_rel_gap": 0.0},
    )
    if found.status == _INFEASIBLE:
        return None
    if found.status != _OPTIMAL or found.x is None:
        raise RuntimeError(found.message)
    parts = np.split(found.x, np.cumsum(sizes)[:-1])
    return tuple(int(kept[np.argmax(x)]) for kept, x in zip(states, parts, strict=True))
