"""Backward in time over every package at once: what each costs from the order to the horizon."""

from collections.abc import Sequence

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


def policy_costs(view: View, policies: Sequence[Policy]) -> list[Floats]:
    """Realised cost after the order of each state under each policy, shape (P, n) each [money].

    The policies share the rule's estimates. Infinite for states that are not valid.
    """
    costs = [horizon_cost(view) for _ in policies]
    for t in range(view.timeline.periods - 1, 0, -1):
        costs = policy_step(view, t, policies, costs)
    first = flow_cost(view, 0, view.expected_margin(view.known_level(0), 0))
    never = np.where(view.lattice.valid, 0.0, np.inf)[:, None]
    return [cost + first + never for cost in costs]
