"""Site bills that retrofits make due, in the bound: against every plan of retrofits there is."""

from itertools import product

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.ready.step_costs import SiteStep
from optioneer.study.site_costs.later_bills import LaterBills
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.study.ready.sites import transformer
from tests.study.worth.test_site_in_advice import SITE, earning

NEVER, ORDER = -1, 0

TIMES = (NEVER, ORDER, 1, 4, 6, 7, 8, 9, 13)
"""When an option is fitted; work comes in period 8, and what is fitted in 7 is ready for it."""


def least_of_all_plans(found: Valued) -> float:
    """What the best package and plan of retrofits cost where all is certain, each played through.

    Every option is ordered, fitted at the start of one of some periods, or never.
    """
    own = [{when: own_cost(found, name, when) for when in TIMES} for name in streams(found)]
    return float(found.constant.mean()) + min(
        sum(costs[when] for costs, when in zip(own, plan, strict=True)) + all_bills(found, plan)
        for plan in product(TIMES, repeat=len(own))
    )


def streams(found: Valued) -> dict[str, float]:
    """Yearly margin of the work of each option."""
    return {s.way[0].options[0]: s.margin.likely for s in found.case.growth.stream}


def own_cost(found: Valued, name: str, when: int) -> float:
    """What an option and its work cost, but for the site."""
    timeline, price = found.problem.timeline, found.case.catalogue.by_id[name].price
    periods, total = np.arange(timeline.periods), price if when == ORDER else 0.0
    if when > ORDER:
        total += timeline.at_start[when] * timeline.retrofit_level[when] * price
    held = periods > when if when > ORDER else np.full(len(periods), when == ORDER)
    lost = (periods >= arrives(found)) & ~held
    margin = streams(found)[name]
    return float(total + (timeline.during * timeline.dt * margin * lost).sum())


def all_bills(found: Valued, plan: tuple[int, ...]) -> float:
    fitted = dict(zip(streams(found), plan, strict=True))
    return sum(bills(found, step, fitted) for step in found.site.steps)


def arrives(found: Valued) -> int:
    return int(found.world.valued.arrival.max())


def bills(found: Valued, step: SiteStep, fitted: dict[str, int]) -> float:
    """What a step costs with the order and later: whenever something is fitted."""
    timeline = found.problem.timeline
    level, total = 0, 0.0
    for t in sorted({ORDER, *fitted.values()} - {NEVER}):
        owned = [name for name, when in fitted.items() if NEVER < when <= t]
        needed = step.level(step.total(owned))
        if t == 0:
            total += step.levels[needed].now - step.levels[0].now
        elif needed > level:
            bought = step.levels[needed]
            due = timeline.retrofit_level[t] * bought.later + bought.downtime
            total += timeline.at_start[t] * due
        level = max(level, needed)
    return total


@pytest.mark.parametrize("pump", [900.0, 2500.0])
@pytest.mark.parametrize("loader", [600.0, 1500.0, 6000.0])
@pytest.mark.parametrize("chiller", [0.0, 1600.0, 9000.0])
def test_no_plan_of_retrofits_passes_the_bound(pump: float, loader: float, chiller: float) -> None:
    case = earning(SITE, later=True, pump=pump, loader=loader, chiller=chiller)
    least = least_of_all_plans(valued_case(case))
    answer = advice(AdviceRequest(case, prove=True))
    assert answer.proof is not None
    assert answer.proof.bound <= least + 1e-6
    assert least <= answer.advised.npc + 1e-6


def one_alone(*, later: float) -> Case:
    """A loader that outgrows the transformer by itself and earns enough to be fitted anyhow."""
    supply = [
        transformer(75, 5000, supplier="wholesale"),
        transformer(112.5, 9000, supplier="wholesale", later=later),
    ]
    case = earning({**SITE, "supply": supply}, later=True, loader=9000.0)
    options = tuple(
        one.model_copy(update={"kva": 20.0}) if one.option == "loader" else one
        for one in case.catalogue.options
    )
    return case.model_copy(update={"catalogue": Catalogue(options=options)})


@pytest.mark.parametrize(("later", "ordered"), [(0.4, ()), (1.0, ("loader",))])
def test_a_bill_that_one_cluster_makes_due_by_itself_is_in_the_bound(
    later: float, ordered: tuple[str, ...]
) -> None:
    """Whether the advice pays it later or orders at once because it costs more later."""
    case = one_alone(later=later)
    least = least_of_all_plans(valued_case(case))
    answer = advice(AdviceRequest(case, prove=True))
    assert answer.proof is not None
    assert answer.advised.options == ordered
    # All that is left is that a bill may be paid a quarter after the fitting.
    assert answer.advised.npc - least == pytest.approx(0.0, abs=1.0)
    assert answer.proof.gap == pytest.approx(0.0, abs=200.0)


def test_nothing_is_charged_where_there_is_no_site() -> None:
    found = valued_case(one_alone(later=1.0).model_copy(update={"site": None}))
    bills = LaterBills(found.site, tuple(0 for _ in found.costs))
    assert bills.dues(0) == ((),)


def test_what_a_state_adds_at_least_is_passed_by_no_state_that_retrofits_lead_to() -> None:
    """A big loader may make way for a chiller that draws less, or for a pump that draws more."""
    kva = {"loader": 9.0, "chiller": 4.0, "pump": 20.0}
    case = earning(SITE, later=True, loader=1500.0, chiller=1600.0, pump=900.0)
    options = tuple(
        one.model_copy(update={"slot": "beside", "kva": kva[one.option]})
        for one in case.catalogue.options
        if one.option in kva
    )
    found = valued_case(case.model_copy(update={"catalogue": Catalogue(options=options)}))
    lattice, bills = found.costs[0].lattice, LaterBills(found.site, tuple(0 for _ in found.costs))
    assert lattice.size > len(kva)
    for uses, least in zip(found.site.uses, bills._least_uses, strict=True):
        for state in range(lattice.size):
            _, there = lattice.reachable(state)
            assert least[0][state] == pytest.approx(uses[0][there].min())
