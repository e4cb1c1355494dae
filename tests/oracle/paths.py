"""One given future by plain recursion, and the cost of a given plan in it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike

from optioneer.model.case import Case
from tests.oracle import machine
from tests.oracle.machine import Multipliers, Retrofits, State

Plan = Sequence[tuple[int, State]]
"""Moves, each the period and the state after it, by rising period."""


@dataclass(frozen=True)
class Future:
    """One world: when each stream arrives and what it would earn.

    Parameters
    ----------
    case
        What the future happens to.
    arrival
        Arrival period of each stream, T or more for never.
    margin
        Margin a year of each stream in each period, growth and swing included, shape (K, T)
        [money/year]. It counts from the arrival period on, for as long as the stream lasts;
        what it says of other periods is ignored.
    """

    case: Case
    arrival: Sequence[int]
    margin: Sequence[Sequence[float]]

    def flow(self, period: int, state: State) -> float:
        """Present cost of upkeep and lost margin in a period [money]."""
        yearly = machine.upkeep(self.case, state)
        for number, stream in enumerate(self.case.growth.stream):
            end = self.arrival[number] + machine.periods_lasted(self.case, stream)
            if self.arrival[number] <= period < end:
                lost = 1 - machine.earned_share(stream, state)
                yearly += self.margin[number][period] * lost
        middle = machine.start(self.case, period + 0.5)
        dt = 1 / self.case.growth.periods_per_year
        return machine.discount(self.case, middle) * dt * yearly

    def end(self, state: State) -> float:
        """Present cost of the end of the horizon: what comes back, negative [money]."""
        years = machine.start(self.case, self.case.growth.periods)
        return -machine.discount(self.case, years) * machine.resale(self.case, state)


def cheapest_plans(
    case: Case, arrival: Sequence[int], margin: ArrayLike, multiplier: Multipliers
) -> dict[State, float]:
    """Least NPC of every package in one future, over all retrofit plans [money].

    Parameters as in `Future`; `multiplier` gives of each retrofittable option its multiplier,
    ordinary and eased.
    """
    future = Future(case, arrival, np.asarray(margin, dtype=float).tolist())
    retrofits = Retrofits(case, multiplier)
    move = cache(retrofits.present_cost)

    @cache
    def from_start_of(period: int, state: State) -> float:
        if period == case.growth.periods:
            return future.end(state)
        choices = retrofits.choices[state] if period else [state]
        return future.flow(period, state) + min(
            move(period, state, after) + from_start_of(period + 1, after) for after in choices
        )

    return {s: machine.order_cost(case, s) + from_start_of(0, s) for s in machine.states(case)}


def cheapest_plan(
    case: Case, arrival: Sequence[int], margin: ArrayLike, multiplier: Multipliers, package: State
) -> float:
    """Least NPC of one package in one future, over all retrofit plans [money]."""
    return cheapest_plans(case, arrival, margin, multiplier)[package]


def plan_cost(
    case: Case,
    arrival: Sequence[int],
    margin: ArrayLike,
    multiplier: Multipliers,
    package: State,
    plan: Plan,
) -> float:
    """NPC of a package in one future under a given retrofit plan [money].

    Raises
    ------
    ValueError
        If a move is in period 0 or from the horizon on, out of order, or not allowed.
    """
    check_plan(case, package, plan)
    future = Future(case, arrival, np.asarray(margin, dtype=float).tolist())
    retrofits, moves = Retrofits(case, multiplier), dict(plan)
    state, total = package, machine.order_cost(case, package)
    for period in range(case.growth.periods):
        after = moves.get(period, state)
        total += future.flow(period, state) + retrofits.present_cost(period, state, after)
        state = after
    return total + future.end(state)


def check_plan(case: Case, package: State, plan: Plan) -> None:
    """Raise ValueError unless a package can be ordered and a plan can be carried out from it."""
    if not machine.allowed(case, package):
        raise ValueError(f"{sorted(package)} cannot be ordered")
    last, state = 0, package
    for period, after in plan:
        if not last < period < case.growth.periods:
            raise ValueError(f"a move in period {period} after one in period {last}")
        if not (machine.allowed(case, after) and machine.can_become(case, state, after)):
            raise ValueError(f"{sorted(state)} cannot become {sorted(after)}")
        last, state = period, after
