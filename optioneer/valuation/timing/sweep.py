"""Backward in time over every package at once: what each costs from the order to the horizon.

Backward induction over all states, future by future.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Floats
from optioneer.valuation.lattice.moves import lower_to_best
from optioneer.valuation.lattice.outlays import close, flow_cost, horizon_cost
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.policy import (
    Policy,
    Strands,
    cost_to_go,
    decision_spans,
    policy_choices,
    policy_steps,
)


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
                lower_to_best(lattice, charges.of(moments), cost)
            cost += flow[:, moments]
            close(view, periods[place], cost)
    cost[~lattice.valid] = np.inf
    return cost


@dataclass(frozen=True)
class Moves:
    """What a policy does from every state of a lattice of P.

    Parameters
    ----------
    learned
        State moved to in each period, shape (T, P, n), in the smallest kind of whole numbers; in
        the first period, and after a sale, it means nothing.
    rule
        The same by the rule alone; none where it is followed from no state.
    ruled
        States from which, when ordered, the rule is followed, shape (P,); none: there are none.
    """

    learned: NDArray[Any]
    rule: NDArray[Any] | None = None
    ruled: Bools | None = None

    @classmethod
    def room_for(cls, policy: Policy, shape: tuple[int, int, int]) -> "Moves":
        """Room for what a policy does, of shape (T, P, n)."""

        def room() -> NDArray[Any]:
            states = np.empty(shape, dtype=np.min_scalar_type(shape[1] - 1))
            states[0] = 0  # nothing is decided then
            return states

        return cls(room(), None if policy.ruled is None else room(), policy.ruled)

    def block(self, start: int, stop: int) -> "Moves":
        """What is done in futures `start` to `stop`, as views."""
        rule = None if self.rule is None else self.rule[..., start:stop]
        return Moves(self.learned[..., start:stop], rule, self.ruled)


def policy_costs(view: View, policies: Sequence[Policy]) -> list[Floats]:
    """Realised cost after the order of each state under each policy, shape (P, n) each [money].

    The policies share the rule's estimates. Infinite for states that are not valid.
    """
    strands = Strands(tuple(policies))
    costs = [horizon_cost(view) for _ in strands.followed_policies]
    for periods in decision_spans(view):
        costs = policy_steps(view, periods, strands.followed_policies, costs)
    return _from_the_order(view, strands, costs)


def policy_costs_and_moves(
    view: View, policies: Sequence[Policy], into: Moves | None = None
) -> tuple[list[Floats], Moves]:
    """The same, and the moves of the last of the policies.

    `into`: room for these moves; none: they get their own.
    """
    strands = Strands(tuple(policies))
    costs = [horizon_cost(view) for _ in strands.followed_policies]
    shape = (view.timeline.periods, view.lattice.size, view.futures.count)
    moves = Moves.room_for(policies[-1], shape) if into is None else into
    kept: list[list[NDArray[Any]]] = [[] for _ in costs]
    kept[-1].append(moves.learned)
    if moves.rule is not None:
        kept[0].append(moves.rule)
    for periods in decision_spans(view):
        choices, flow = policy_choices(view, periods, strands.followed_policies)
        for strand, choice in enumerate(choices):
            for states in kept[strand]:
                for place, t in enumerate(periods):
                    states[t] = choice.state[:, view.moments(place)]
            costs[strand] = cost_to_go(view, periods, choice, flow, costs[strand])
    return _from_the_order(view, strands, costs), moves


def _from_the_order(view: View, strands: Strands, costs: Sequence[Floats]) -> list[Floats]:
    """Cost of each policy with the first period."""
    first = first_cost(view)
    return strands.costs([cost + first for cost in costs])


def first_cost(view: View) -> Floats:
    """Cost of each state in the first period, in which nothing is fitted, shape (P, n) [money].

    Infinite for states that are not valid.
    """
    start = range(1)
    never = np.where(view.lattice.valid, 0.0, np.inf)[:, None]
    return np.asarray(flow_cost(view, start, view.known_level(start)) + never)
