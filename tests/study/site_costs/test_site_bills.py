"""What is outgrown after the order, against every future and period looked at one by one."""

from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as some

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.machine import Package
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.site_costs.later_bills import LaterBills
from optioneer.study.site_costs.site_bills import SumChanges
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.study.worth.best_package import best_package, price_limits
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.choice.selection import keeps
from tests.oracle.cases import between
from tests.study.ready.sites import POWER, transformer
from tests.study.worth.test_site_in_advice import earning

KVA = {"pump": 18.0, "chiller": 26.0, "loader": 11.0}
SUPPLY = [
    transformer(75, 5000, later=1.2),
    transformer(112.5, 8000, later=1.4, later_downtime_days=1.0),
    transformer(150, 12000, later=1.1, later_downtime_days=2.0),
]


def growing() -> Case:
    """Work that may come for three options, which together pass two sizes of transformer."""
    site = {**POWER, "supply": SUPPLY, "plan": {"runs": 100}}
    case = earning(site, later=True, pump=9e3, chiller=12e3, loader=8e3)
    options = tuple(
        one.model_copy(update={"kva": KVA.get(one.option, 0.0), "price": 15e3})
        for one in case.catalogue.options
    )
    streams = tuple(
        one.model_copy(update={"years": between(0.2, 1.0 + n, 4.0), "chance": 0.7})
        for n, one in enumerate(case.growth.stream)
    )
    growth = case.growth.model_copy(update={"stream": streams, "retrofit_inflation": 0.03})
    return case.model_copy(update={"catalogue": Catalogue(options=options), "growth": growth})


@cache
def found() -> Valued:
    return valued_case(growing())


PACKAGES = [Package(id="x", options=o) for n in range(3) for o in combinations(KVA, n)]


@pytest.mark.parametrize("package", PACKAGES, ids=lambda one: "+".join(one.options) or "none")
def test_bills_are_those_of_every_future_looked_at_by_itself(package: Package) -> None:
    known = found()
    (step,), clock = known.site.steps, known.problem.timeline
    assert len(step.levels) == 3
    states = states_of(known, package)
    lived = zip(known.costs, known.journeys(states), strict=True)
    held = [
        [[known.problem.options[o] for o in cost.lattice.options(int(s))] for s in row]
        for cost, journey in lived
        for row in np.vstack([journey.owned[1:], journey.ended])
    ]
    by_cluster = [held[k : k + clock.periods] for k in range(0, len(held), clock.periods)]
    told, passed = known.site.bills.later(states), set[int]()
    for n in range(known.world.valued.count):
        level, due = step.level(step.total(package.options)), 0.0
        for t in range(1, clock.periods):
            fitted = {name for rows in by_cluster for name in rows[t][n]}
            needed = step.level(step.total(fitted))
            if needed > level:
                bought = step.levels[needed]
                price = bought.later * clock.retrofit_level[t] + bought.downtime
                due += clock.at_start[t] * price
                level = needed
                passed.add(level)
        assert told[n] == pytest.approx(due)
    assert passed == (
        {1, 2} if not package.options else {2} if len(package.options) == 1 else passed
    )


def test_beside_the_others_each_state_costs_what_its_whole_package_costs() -> None:
    known = found()
    (step,) = known.site.steps
    other = replace(step, uses={"loader": 30.0, "chiller": 1.0})
    site = SiteTerm(
        (step, other),
        problem=known.problem,
        world=known.world,
        costs=known.costs,
        means=known.means,
    )
    for package in PACKAGES:
        states = states_of(known, package)
        for cluster in range(len(states)):
            beside = site.now_beside(states, cluster)
            whole = [
                site.now((*states[:cluster], state, *states[cluster + 1 :]))
                for state in range(len(beside))
            ]
            assert beside == pytest.approx(whole)


def test_what_passing_a_level_costs_at_least_is_the_cheapest_of_all_above_it_and_later() -> None:
    known = found()
    (step,), clock = known.site.steps, known.problem.timeline
    bills = LaterBills(known.site, best_package(known))
    for level in range(len(step.levels) - 1):
        due = [
            min(
                one.later * clock.retrofit_level[t] + one.downtime
                for one in step.levels[level + 1 :]
            )
            * clock.at_start[t]
            for t in range(clock.periods)
        ]
        # Fitted in a period it may be paid in the next one; a bill counts at its least so far.
        expected = np.minimum.accumulate([*due[1:], due[-1]])
        assert bills._price(0, level) == pytest.approx(expected)


def test_within_a_budget_no_change_of_one_cluster_is_cheaper_and_keeps_it() -> None:
    """Bills later make the search for the best of all one that may stop a little early."""
    known = found()
    every = [Package(id="x", options=o) for n in range(5) for o in combinations((*KVA, "light"), n)]
    costs = {states_of(known, one): 0.0 for one in every}
    for states in costs:
        costs[states] = float(known.cost(states).mean())
    base = known.case.machine.base_price
    for extra in (0.0, 15e3, 30e3, 45e3, 60e3):
        within = {s: c for s, c in costs.items() if known.price(s) <= base + extra + 0.005}
        chosen = best_package(known, budget=base + extra)
        (limit,) = price_limits(known, base + extra)
        assert keeps(limit, chosen)
        assert {s for s in costs if keeps(limit, s)} == set(within)
        near = [s for s in within if sum(a != b for a, b in zip(s, chosen, strict=True)) <= 1]
        assert costs[chosen] <= min(costs[s] for s in near) + 1e-6
        assert costs[chosen] <= min(within.values()) * 1.01


def test_the_advised_package_is_a_point_of_the_frontier_though_the_site_moves_it() -> None:
    told = advice(AdviceRequest(growing()))
    assert told.advised.options in {point.options for point in told.frontier}
    (point,) = (one for one in told.frontier if one.options == told.advised.options)
    assert (point.price, point.npc) == pytest.approx((told.advised.price, told.advised.npc))
    assert [one.price for one in told.frontier] == sorted({one.price for one in told.frontier})
    npcs = [one.npc for one in told.frontier]
    assert npcs == sorted(npcs, reverse=True)


@given(some.lists(some.tuples(some.integers(0, 3), some.integers(-9, 9)), max_size=30))
def test_a_sum_begins_anew_in_each_future(changed: list[tuple[int, int]]) -> None:
    changed.sort(key=lambda each: each[0])
    future = np.array([each[0] for each in changed], dtype=np.intp)
    begins = np.flatnonzero(np.diff(future, prepend=-1))
    changes = SumChanges(future, np.zeros(len(future), dtype=np.intp), begins)
    added = np.array([each[1] for each in changed], dtype=np.float64)
    alone = [added[future == one].cumsum() for one in range(4)]
    assert changes.summed(added).tolist() == np.concatenate(alone).tolist()
