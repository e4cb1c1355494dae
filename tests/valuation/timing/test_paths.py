"""The engine against one future at a time: plain recursion, and a plan carried out step by step.

Margins and multipliers are uncertain here and margins swing.
"""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import triang

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.fact import Triangular
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.journey import Journey, journey
from optioneer.valuation.timing.sweep import policy_costs
from optioneer.valuation.worlds.futures import Futures
from tests.oracle import paths
from tests.oracle.cases import CASES
from tests.oracle.machine import Multipliers, State
from tests.oracle.paths import Plan
from tests.oracle.strategies import small_cases
from tests.valuation.engine import Engine, engine

MONEY = 1e-6
"""Absolute tolerance for two ways of adding the same money up [money]."""


def around(middle: Triangular) -> Triangular:
    """An uncertain quantity about a certain one."""
    likely = middle.likely
    return Triangular(low=0.8 * likely, likely=likely, high=1.7 * likely)


def loosened(case: Case) -> Case:
    """A case in which nothing is certain any more."""
    options = [
        o.model_copy(
            update={
                "multiplier": o.multiplier and around(o.multiplier),
                "eased": o.eased and around(o.eased),
            }
        )
        for o in case.catalogue.options
    ]
    streams = [
        s.model_copy(update={"margin": around(s.margin), "swing": swing})
        for s, swing in zip(case.growth.stream, (0.4, 0.0, 0.2), strict=False)
    ]
    return case.model_copy(
        update={
            "catalogue": Catalogue(options=tuple(options)),
            "growth": case.growth.model_copy(update={"stream": tuple(streams)}),
        }
    )


def loose_cases() -> st.SearchStrategy[Case]:
    """Random small cases in which nothing is certain."""
    return small_cases().map(loosened)


def triangular_at(quantile: float, bounds: Triangular) -> float:
    """Quantile of a triangular variable by a library."""
    width = bounds.high - bounds.low
    mode = (bounds.likely - bounds.low) / width
    return float(triang.ppf(quantile, mode, loc=bounds.low, scale=width))


def multipliers(case: Case, quantile: dict[str, float]) -> Multipliers:
    """Every multiplier in one future, plain and eased."""
    return {
        o.option: (
            triangular_at(quantile[o.option], o.multiplier),
            triangular_at(quantile[o.option], o.eased or o.multiplier),
        )
        for o in case.catalogue.options
        if o.multiplier is not None
    }


def margins(case: Case, futures: Futures, n: int) -> list[list[float]]:
    """Yearly margin of each stream in each period of future `n`, from its arrival on."""
    rows = []
    for k, stream in enumerate(case.growth.stream):
        path, arrival = futures.log_swing[k], int(futures.arrival[k, n])
        row = []
        for t in range(case.growth.periods):
            grown = (1 + stream.growth) ** (t / case.growth.periods_per_year)
            moved = 0.0 if path is None or t < arrival else path[t, n] - path[arrival, n]
            row.append(float(futures.level[k, n] * grown * np.exp(moved)))
        rows.append(row)
    return rows


def future_of(
    case: Case, found: Engine, n: int
) -> tuple[Case, list[int], list[list[float]], Multipliers]:
    """Arrivals, margins and multipliers of future `n`, as the oracle wants them."""
    futures = found.world.valued
    quantile = dict(zip(found.problem.options, futures.quantile[:, n].tolist(), strict=True))
    arrival = [int(period) for period in futures.arrival[:, n]]
    return case, arrival, margins(case, futures, n), multipliers(case, quantile)


@given(loose_cases())
@settings(max_examples=15, deadline=None)
def test_hindsight_is_the_cheapest_plan_of_each_future(case: Case) -> None:
    found = engine(case, lessons=64)
    costs = found.hindsight
    for n in (0, 5, 11):
        least = paths.cheapest_plans(*future_of(case, found, n))
        assert {p: cost[n] for p, cost in costs.items()} == pytest.approx(least, abs=MONEY)


@given(loose_cases())
@settings(max_examples=25, deadline=None)
def test_hindsight_never_costs_more_than_the_rule_or_the_learned_policy(case: Case) -> None:
    found = engine(case, lessons=256)
    foresight = found.hindsight
    for realised in (found.rule, found.learned):
        for package, cost in realised.items():
            assert (foresight[package] <= cost + MONEY).all()


def lived(found: Engine, cluster: int, state: int) -> tuple[Lattice, Journey]:
    """The journey of one state of a cluster, and the part of the lattice it goes through."""
    lattice, policy = found.problem.lattices[cluster], found.policies[cluster]
    part, states = lattice.reachable(state)
    start = int(np.flatnonzero(states == state)[0])
    return part, journey(found.view(part), policy.of(states), start)


@given(loose_cases())
@settings(max_examples=25, deadline=None)
def test_backward_sweep_and_forward_journey_agree_from_every_package(case: Case) -> None:
    found = engine(case, lessons=256)
    for i, lattice in enumerate(found.problem.lattices):
        swept = policy_costs(found.view(lattice), [found.policies[i]])[0]
        for state in np.flatnonzero(lattice.orderable):
            _, forward = lived(found, i, int(state))
            assert forward.cost == pytest.approx(swept[state], abs=MONEY)


@pytest.mark.parametrize("made", CASES.values(), ids=CASES)
def test_sweep_and_journey_agree_where_one_feature_decides(made: Callable[[], Case]) -> None:
    found = engine(loosened(made()), lessons=256)
    for i, lattice in enumerate(found.problem.lattices):
        swept = policy_costs(found.view(lattice), [found.policies[i]])[0]
        for state in np.flatnonzero(lattice.orderable):
            _, forward = lived(found, i, int(state))
            assert forward.cost == pytest.approx(swept[state], abs=MONEY)


def plan_of(found: Engine, states: tuple[int, ...], n: int) -> list[tuple[int, State]]:
    """The moves of future `n` from a package given by a state a cluster."""
    levels: list[dict[str, str | None]] = []
    moves: dict[int, dict[str, str]] = {}
    for i, state in enumerate(states):
        part, forward = lived(found, i, state)
        lattice = found.problem.lattices[i]
        for axis, level in enumerate(lattice.levels[:, state]):
            fitted = lattice.fitted[axis][level]
            name = found.problem.options[fitted] if fitted >= 0 else None
            levels.append({lattice.names[axis]: name})
        for target, period in zip(part.targets, forward.fitted_in[:, n].tolist(), strict=True):
            if period < found.problem.timeline.periods:
                name = found.problem.options[target.option]
                moves.setdefault(period, {})[part.names[target.axis]] = name
    held = {slot: name for level in levels for slot, name in level.items()}
    plan = []
    for period in sorted(moves):
        held |= moves[period]
        plan.append((period, frozenset(name for name in held.values() if name)))
    return plan


def package_of(found: Engine, states: tuple[int, ...]) -> State:
    """What a state a cluster holds together."""
    lattices = found.problem.lattices
    parts = (found.options(x, s) for x, s in zip(lattices, states, strict=True))
    return frozenset[str]().union(*parts)


@given(loose_cases(), st.randoms(use_true_random=False))
@settings(max_examples=15, deadline=None)
def test_carrying_out_the_learned_moves_costs_what_the_sweep_says(case: Case, choice: Any) -> None:
    found = engine(case, lessons=256)
    costs: dict[State, Floats] = found.learned
    for n in (1, 6):
        states = tuple(
            int(choice.choice(np.flatnonzero(lattice.orderable).tolist()))
            for lattice in found.problem.lattices
        )
        package = package_of(found, states)
        plan: Plan = plan_of(found, states, n)
        carried_out = paths.plan_cost(*future_of(case, found, n), package, plan)
        assert carried_out == pytest.approx(costs[package][n], abs=MONEY)
