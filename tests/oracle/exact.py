"""Every package valued by enumerating the scenario tree: hindsight, and the best policy there is.

For cases with certain margins and multipliers and without swing. Arrays have one axis a stream,
its index the arrival period with the last index for `not yet` or `never`, and a last axis for
states. At the start of period t an axis has t + 2 entries: periods 0..t, and `not yet`.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.model.case import Case
from optioneer.model.growth import Stream
from tests.oracle import hours, machine
from tests.oracle.arrivals import Array, joint
from tests.oracle.machine import Retrofits, State

Choice = NDArray[np.intp]
"""Index of the state to move to, shape (what is known..., states)."""


def hindsight(case: Case) -> dict[State, float]:
    """Expected NPC of each package when retrofits are chosen knowing the whole future [money]."""
    probability, retrofits = joint(case), certain_retrofits(case)
    value = np.ones((*probability.shape, 1)) * -final_receipts(case)
    for period in reversed(range(case.growth.periods)):
        if period:
            value = best_moves(retrofits, period, np.ones(probability.shape), value)[0]
        value = value + flows(case, period, case.growth.periods + 1)
    return packages(case, (probability[..., None] * value).reshape(-1, value.shape[-1]).sum(axis=0))


def optimum(case: Case) -> dict[State, float]:
    """Expected NPC of each package under the best policy that does not see ahead [money]."""
    return optimum_and_policy(case)[0]


def optimum_and_policy(case: Case) -> tuple[dict[State, float], list[Choice]]:
    """The same, and what the policy does in each period, whatever is known, in each state."""
    chance, retrofits = joint(case), certain_retrofits(case)
    # Values are weighted by the probability of what is known, so that knowing less is a sum.
    value = chance[..., None] * -final_receipts(case)
    policy: list[Choice] = []
    for period in reversed(range(case.growth.periods)):
        if period < case.growth.periods - 1:
            chance = forgotten(chance, case)
            value = forgotten(value, case)
        value, moves = best_moves(retrofits, period, chance, value)
        policy.insert(0, moves)
        value = value + chance[..., None] * flows(case, period, period + 2)
    return packages(case, value.reshape(-1, value.shape[-1]).sum(axis=0)), policy


def certain_retrofits(case: Case) -> Retrofits:
    """What the moves of a case with certain multipliers cost."""
    return Retrofits(case, machine.certain_multipliers(case))


def forgotten(values: Array, case: Case) -> Array:
    """Sums over what a period's start reveals: arriving in it joins `not yet`."""
    for axis in range(len(case.growth.stream)):
        kept, merged = np.split(values, [values.shape[axis] - 2], axis=axis)
        values = np.concatenate([kept, merged.sum(axis=axis, keepdims=True)], axis=axis)
    return values


def best_moves(
    retrofits: Retrofits, period: int, chance: Array, later: Array
) -> tuple[Array, Choice]:
    """Least cost from a period's moves on, and the state to move to; staying wins ties."""
    after = np.ascontiguousarray(np.moveaxis(later, -1, 0))
    least, choice = np.empty(after.shape), np.empty(after.shape, dtype=np.intp)
    for before, (choices, parts) in enumerate(retrofits.moves):
        # In the first period there is nothing but what was ordered.
        index = choices if period else choices[:1]
        paid = retrofits.presented(period, parts[:, : index.size])
        best, moved = least[before, ...], choice[before, ...]
        best[...], moved[...] = chance * paid[0] + after[index[0]], index[0]
        for state, money in zip(index[1:], paid[1:], strict=True):
            cost = chance * money + after[state]
            moved[cost < best] = state
            np.minimum(best, cost, out=best)
    return np.moveaxis(least, 0, -1), np.moveaxis(choice, 0, -1)


def margins(case: Case, stream: Stream, period: int, entries: int) -> Array:
    """Yearly margin in a period by arrival period, `not yet` last, shape (entries,)."""
    if stream.swing or not stream.margin.certain:
        raise ValueError(f"{stream.id}: its margin is not certain")
    years = period / case.growth.periods_per_year
    margin = stream.margin.likely * (1 + stream.growth) ** years
    lasts = machine.periods_lasted(case, stream)
    here = [arrival <= period < arrival + lasts for arrival in range(entries - 1)]
    return np.asarray(margin * np.array([*here, False]))


def flows(case: Case, period: int, entries: int) -> Array:
    """Present cost of upkeep and lost margin in a period, shape (entries..., states)."""
    reachable = machine.states(case)
    streams = case.growth.stream
    total = np.array([machine.upkeep(case, state) for state in reachable])
    # By stream its margin, 0 or what it is; by arrival which of the two.
    each = [np.unique(margins(case, one, period, entries), return_inverse=True) for one in streams]
    lost = np.zeros((*(len(worth) for worth, _ in each), len(reachable)))
    earning = hours.Earning(case, reachable)
    for seen in np.ndindex(lost.shape[:-1]):
        margin = tuple(float(worth[i]) for (worth, _), i in zip(each, seen, strict=True))
        lost[seen] = sum(margin) - earning.of(margin)
    total = total + lost[np.ix_(*(which for _, which in each), np.arange(len(reachable)))]
    middle = machine.discount(case, machine.start(case, period + 0.5))
    return middle / case.growth.periods_per_year * total


def final_receipts(case: Case) -> Array:
    """Present value of what comes back at the end, shape (states,)."""
    end = machine.discount(case, machine.start(case, case.growth.periods))
    return end * np.array([machine.resale(case, state) for state in machine.states(case)])


def packages(case: Case, running: Array) -> dict[State, float]:
    """NPC of each package from the cost of running it, shape (states,), after the order."""
    return {
        state: machine.order_cost(case, state) + float(cost)
        for state, cost in zip(machine.states(case), running, strict=True)
    }


def chance_fitted_later(case: Case, package: State) -> dict[str, float]:
    """Chance that the best policy, started from a package, ever retrofits each option."""
    return chance_fitted_under(optimum_and_policy(case)[1], case, package)


def chance_fitted_under(policy: list[Choice], case: Case, package: State) -> dict[str, float]:
    """Chance that a policy, started from a package, ever retrofits each option."""
    reachable = machine.states(case)
    names = sorted(option.option for option in case.catalogue.options)
    owns = np.array([[name in state for name in names] for state in reachable])
    streams = len(case.growth.stream)
    state = np.full((2,) * streams, reachable.index(package))
    later = np.zeros((*state.shape, len(names)), dtype=bool)
    for period, moves in enumerate(policy):
        if period:
            state, later = (learned(known, period, streams) for known in (state, later))
        after = np.take_along_axis(moves, state[..., None], axis=-1)[..., 0]
        later, state = later | (owns[after] & ~owns[state]), after
    chances = (joint(case)[..., None] * later).reshape(-1, len(names)).sum(axis=0)
    return {name: float(chance) for name, chance in zip(names, chances, strict=True)}


def learned(known: NDArray[Any], period: int, streams: int) -> NDArray[Any]:
    """What held for `not yet` a period ago, now for arriving in this period and for `not yet`."""
    for axis in range(streams):
        known = known.take([*range(period), period, period], axis=axis)
    return known


def plan_of(
    case: Case, policy: list[Choice], arrival: Sequence[int], package: State
) -> list[tuple[int, State]]:
    """The moves a policy makes from a package in one future: periods, and states after them."""
    reachable = machine.states(case)
    state, plan = reachable.index(package), []
    for period, moves in enumerate(policy):
        known = tuple(min(moment, period + 1) for moment in arrival)
        after = int(moves[known][state])
        if after != state:
            plan.append((period, reachable[after]))
        state = after
    return plan
