"""Backward in time over every package at once: what each costs from the order to the horizon."""

import numpy as np

from optioneer.valuation.moves import best_moves
from optioneer.valuation.policy import Policy, flow_cost, horizon_cost, policy_step
from optioneer.valuation.timeline import Floats
from optioneer.valuation.view import View


def hindsight_cost(view: View) -> Floats:
    """Cost after the order of each state when retrofits are chosen knowing the whole future.

    Returns
    -------
    ndarray
        Shape (P, n) [money]; infinite for states that are not valid.
    """
    lattice = view.lattice
    cost = horizon_cost(view)
    for t in range(view.timeline.periods - 1, -1, -1):
        if t > 0:
            cost[~lattice.valid] = np.inf
            cost = best_moves(lattice, view.charges(t), cost)
        cost += flow_cost(view, t, view.expected_margin(view.known_level(t), t))
    cost[~lattice.valid] = np.inf
    return cost


def policy_cost(view: View, policy: Policy) -> Floats:
    """Realised cost after the order of each state under `policy`, shape (P, n) [money].

    Infinite for states that are not valid.
    """
    cost = horizon_cost(view)
    for t in range(view.timeline.periods - 1, 0, -1):
        cost = policy_step(view, t, policy, cost)
    cost += flow_cost(view, 0, view.expected_margin(view.known_level(0), 0))
    cost[~view.lattice.valid] = np.inf
    return cost
