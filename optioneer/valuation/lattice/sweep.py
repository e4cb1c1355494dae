"""Backward in time over every package at once: what each costs from the order to the horizon.

Backward induction over all states, future by future.
"""

from collections.abc import Sequence

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.lattice.moves import best_moves
from optioneer.valuation.lattice.outlays import close, flow_cost, horizon_cost
from optioneer.valuation.lattice.policy import Policy, Strands, decision_spans, policy_steps
from optioneer.valuation.lattice.view import View


def hindsight_cost(view: View) -> Floats:
    """Cost after the order of each state when retrofits are chosen knowing the whole future.

    Returns
    -------
    ndarray
        Shape (P, n) [money]; infinite for states that are not valid.
    """
    lattice = view.lattice
    cost = horizon_cost(view)
    for end in range(view.timeline.periods, 0, -view.span):
        periods = range(max(end - view.span, 0), end)
        flow = flow_cost(view, periods, view.known_level(periods))
        charges = view.charges(periods)
        for place in reversed(range(len(periods))):
            moments = view.moments(place)
            if periods[place] > 0:
                cost[~lattice.valid] = np.inf
                cost = best_moves(lattice, charges.of(moments), cost)
            cost += flow[:, moments]
            close(view, periods[place], cost)
    cost[~lattice.valid] = np.inf
    return cost


def policy_costs(view: View, policies: Sequence[Policy]) -> list[Floats]:
    """Realised cost after the order of each state under each policy, shape (P, n) each [money].

    The policies share the rule's estimates. Infinite for states that are not valid.
    """
    strands = Strands(tuple(policies))
    costs = [horizon_cost(view) for _ in strands.followed]
    for periods in decision_spans(view):
        costs = policy_steps(view, periods, strands.followed, costs)
    start = range(1)
    first = flow_cost(view, start, view.known_level(start))
    never = np.where(view.lattice.valid, 0.0, np.inf)[:, None]
    return strands.costs([cost + first + never for cost in costs])
