"""The engine against exact enumeration of the scenario tree (`tests.oracle.exact`).

The policy is learned on drawn futures as always, but valued on every combination of arrival
periods, weighted by its exact probability: no sampling error hides a fault.
"""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Driver, Way
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.problem.arrays import problem_of
from tests.oracle import exact
from tests.oracle.arrivals import joint
from tests.oracle.cases import CASES, between, case_of, certain, option, stream
from tests.oracle.machine import State
from tests.oracle.strategies import small_cases
from tests.valuation.engine import engine, every_future

ATTAINED = 0.001
"""The best package may cost at most this share more than under the best policy there is."""

SELDOM_ATTAINED = 0.002
"""The same for random cases, of which one in some hundreds misses the other bound: by .122 %."""


def expected(chance: Floats, costs: dict[State, Floats]) -> dict[State, float]:
    """Mean over every future, of these chances, of costs by future."""
    return {package: float(cost @ chance) for package, cost in costs.items()}


def check(case: Case, attained: float, *, lessons: int = 2048) -> None:
    """The engine's three valuations of a case against the exact ones."""
    found = engine(case, every_future(case, problem_of(case)), lessons=lessons)
    foresight, best = exact.hindsight(case), exact.optimum(case)
    chance = joint(case).ravel()
    assert expected(chance, found.hindsight) == pytest.approx(foresight, rel=1e-12)
    rule, learned = expected(chance, found.rule), expected(chance, found.learned)
    for package, least in best.items():
        assert min(rule[package], learned[package]) >= least - 1e-6
    cheapest = min(best, key=best.__getitem__)
    assert learned[cheapest] <= best[cheapest] * (1 + attained)


@given(small_cases())
@settings(max_examples=25, deadline=None)
def test_random_small_cases(case: Case) -> None:
    """On four times the lessons of an ordinary advice.

    On 2,048 of them one case in some 400 is up to 0.4 % dearer, where rare work comes while likely
    work stays away and too few lessons show it; the package advised is the best there, too.
    """
    check(case, SELDOM_ATTAINED, lessons=8192)


def test_what_pays_once_work_has_ended_is_learned_too() -> None:
    """Found by hypothesis: all work is here, one kind of it ends soon; it was 0.33 % dearer."""

    def retrofit(name: str, price: float, **more: Any) -> Option:
        return option(name, price, 1.2, downtime_days=0.5, call_out="default", **more)

    quick: dict[str, Any] = {"eased_by": "rail", "eased": certain(0.48)}
    options = [
        retrofit("rail", 11e3),
        retrofit("plain", 6e3, slot="head"),
        retrofit("fast", 32e3, slot="head", **quick),
        retrofit("strong", 39e3, slot="head"),
        retrofit("guide", 16e3, slot="base", later_price=9e3, **quick),
        retrofit("table", 32e3, slot="base"),
        option("bed", 36e3, slot="base"),
    ]
    streams = [
        stream(
            "long",
            between(0.0, 0.4, 0.8),
            528e3,
            ["strong", "guide"],
            chance=0.4,
            growth=0.04,
            fallback=0.4,
            drivers={"force": 0.9},
        ),
        stream(
            "short",
            between(0.2, 0.8, 0.8),
            768e3,
            [],
            chance=0.12,
            growth=0.04,
            fallback=0.1,
            lasts_years=1.225,
            drivers={"force": 0.6},
            way=(Way(options=("fast", "guide")), Way(options=("plain", "guide"), share=0.6)),
        ),
        stream(
            "heavy",
            between(0.0, 0.4, 1.2),
            1088e3,
            ["fast", "bed"],
            chance=0.4,
            growth=-0.1,
            fallback=0.4,
            drivers={"force": 0.9},
        ),
    ]
    case = case_of(
        options,
        streams,
        growth={
            "horizon_years": 2.0,
            "periods_per_year": 4,
            "discount_rate": 0.08,
            "driver": (Driver(id="force"),),
        },
        lead=0.0,
        base_price=60e3,
        margin_per_day=600.0,
        call_outs={"default": 800.0},
    )
    check(case, ATTAINED)


@pytest.mark.parametrize("name", CASES)
def test_cases_in_which_one_feature_decides(name: str) -> None:
    check(CASES[name](), ATTAINED)


@pytest.mark.parametrize("name", ["prepared", "blocked", "driven", "left_off"])
def test_advice_as_a_whole_within_three_standard_errors(name: str) -> None:
    case, best = CASES[name](), exact.optimum(CASES[name]())
    advised = advice(AdviceRequest(case)).advised
    cheapest = min(best, key=best.__getitem__)
    room = 3 * advised.npc_se + 1e-6
    assert advised.npc == pytest.approx(best[cheapest], abs=room + ATTAINED * best[cheapest])
    assert advised.npc >= best[frozenset(advised.options)] - room
    foresight = exact.hindsight(case)[frozenset(advised.options)]
    assert advised.hindsight == pytest.approx(foresight, abs=room)


def test_any_package_as_a_whole_within_three_standard_errors() -> None:
    case, best = CASES["prepared"](), exact.optimum(CASES["prepared"]())
    errors = []
    for package, least in best.items():
        answer = package_value(PackageRequest(case, package=",".join(sorted(package))))
        errors.append((answer.npc - least) / max(answer.npc_se, 1e-6))
    assert len(errors) == 3
    assert np.abs(errors).max() <= 3
