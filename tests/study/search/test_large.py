"""Searched clusters: against lattices, the exact best, published optima, and in time."""

import json
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings

from optioneer.errors import RequestError, TooLargeError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.reports.advice.summary import summary
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice, package_value, preview_of
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.advice.proof import gaps_of, upper_end
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.advice.retrofits import retrofit_payments
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.problem import clusters as problem
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_terms, clusters
from optioneer.study.problem.effort import Effort
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.study.problem.likeliest import likeliest_case, likeliest_world
from optioneer.study.search import large, search
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import states_of, with_package
from optioneer.study.worth.valued_case import _searches, valued_case
from optioneer.valuation.large.doable import view_of
from optioneer.valuation.large.programme import OrderLimits, programme
from tests.many_options import many_options
from tests.oracle import exact
from tests.oracle.cases import CASES, case_of, certain, option, stream
from tests.oracle.strategies import small_cases
from tests.outside.test_knapsack import SELECTIONS, numbers

AMPLE = 600.0
"""Time that no search here needs [s]: what is found must not hang on the machine."""


@pytest.mark.parametrize("name", ["waiting", "prepared", "blocked", "left_off"])
def test_search_and_lattice_agree(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    case = CASES[name]()
    swept = advice(AdviceRequest(case))
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)
    found = advice(AdviceRequest(case))
    assert found.search is not None
    assert found.search.gap is not None
    assert found.advised.options == swept.advised.options
    assert found.advised.npc == pytest.approx(swept.advised.npc, rel=1e-3)
    least = min(exact.optimum(case).values())
    error = 3 * (found.advised.npc_se + (found.search.gap_se or 0.0))
    assert found.advised.npc - found.search.gap <= least + error + 1e-6


@given(small_cases())
@settings(max_examples=8, deadline=None)
def test_searched_advice_is_no_further_from_the_exact_best_than_it_says(case: Case) -> None:
    best = exact.optimum(case)
    least = min(best.values())
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(problem, "LARGEST_SWEEP", 0)
        patched.setattr(large, "BATCHES", 16)
        patched.setattr(large, "BATCH", 16)
        told = advice(AdviceRequest(with_draws(case, 1024), seconds=AMPLE))
    assert told.search is not None
    assert told.search.stopped is None
    assert told.search.gap is not None
    assert told.search.gap_se is not None
    error = 4.0 * told.search.gap_se + 1e-6 * abs(least)
    assert best[frozenset(told.advised.options)] - least <= told.search.gap + error
    assert told.advised.npc - told.search.gap <= least + error + 4.0 * told.advised.npc_se


def knapsack(weights: str, profits: str) -> Case:
    """An item is an option at its weight, with certain work worth weight and profit."""
    options, streams = [], []
    for i, (weight, profit) in enumerate(zip(numbers(weights), numbers(profits), strict=True)):
        options.append(option(f"item-{i:02}", weight))
        streams.append(stream(f"work-{i:02}", certain(0.0), weight + profit, [f"item-{i:02}"]))
    tie = stream("tie", certain(0.0), 0.0, [one.option for one in options])
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 16}
    return case_of(options, [*streams, tie], growth=growth)


@pytest.mark.parametrize("name", SELECTIONS)
def test_published_knapsack_optima_through_the_programme(name: str) -> None:
    capacity, weights, profits, selection, profit = SELECTIONS[name]
    case = knapsack(weights, profits)
    terms = cluster_terms(case, 0)
    made = programme(terms, view_of(terms, likeliest_world(case, problem_of(likeliest_case(case)))))
    solved = made.solution(OrderLimits(room=capacity, within=0.0))
    everything = sum(numbers(weights)) + sum(numbers(profits))
    assert solved.package is not None
    assert "".join(map(str, solved.package)) == selection
    assert everything - solved.value == pytest.approx(profit, rel=1e-7)
    assert everything - solved.bound == pytest.approx(profit, rel=1e-6)


def test_upper_end_of_the_gap() -> None:
    """Mak, Morton & Wood (1999): four gaps, mean .725, t(.95, 3) = 2.35336343 (from memory)."""
    gaps = np.array([0.5, 1.2, 0.3, 0.9])
    assert upper_end(gaps) == pytest.approx(1.19933556, abs=1e-8)


def many() -> Case:
    """Thirty options, some worth ordering, some worth waiting for."""
    return many_options(30, 14, futures=256, periods_per_year=1, horizon_years=10.0)


@cache
def fewer() -> tuple[Case, Advice]:
    """A case of the same kind with 25 options, and its advice where there is `less` of all."""
    case = many_options(25, 12, seed=2, futures=128, periods_per_year=1, horizon_years=8.0)
    return case, advice(AdviceRequest(case, seconds=AMPLE))


@pytest.fixture
def _less(monkeypatch: pytest.MonkeyPatch) -> None:
    """Less of everything, so that a search ends by itself soon."""
    monkeypatch.setattr(large, "CHOOSING", 8)
    monkeypatch.setattr(large, "SEARCHING", 128)
    monkeypatch.setattr(large, "LESSONS", 256)
    monkeypatch.setattr(large, "BATCHES", 2)
    monkeypatch.setattr(large, "BATCH", 16)
    monkeypatch.setattr(search, "MOST_PASSES", 1)
    monkeypatch.setattr(search, "MOST_COMPANIONS", 1)


less = pytest.mark.usefixtures("_less")


def test_the_generated_catalogue_is_one_cluster() -> None:
    case = many_options()
    assert len(case.catalogue.options) == 60
    assert len(case.growth.stream) == 25
    assert len(clusters(case)) == 1


@less
def test_a_searched_case_has_all_of_the_advice() -> None:
    case, told = fewer()
    assert told.search is not None
    assert told.search.stopped is None
    assert told.search.gap is not None
    assert 0.0 <= told.search.gap < 0.05 * told.advised.npc
    verdicts = {"order now", "leave off", "leave for retrofit"}
    assert verdicts <= {answer.verdict for answer in told.options}
    assert all(answer.otherwise is None or answer.otherwise >= 0 for answer in told.options)
    assert len(told.frontier) > 2
    page = " ".join(summary(case, told, Figures("USD", "en_US")))
    assert "No other package" in page
    assert json.loads(told.model_dump_json())["search"]["batches"] == large.BATCHES
    held = case.catalogue.by_id
    asked = [name for name in told.advised.options if not held[name].standard]
    assert package_value(PackageRequest(case, package=",".join(asked))).npc == pytest.approx(
        told.advised.npc, rel=1e-9
    )


def test_what_has_been_found_is_told_when_the_time_is_up() -> None:
    told = advice(AdviceRequest(many(), seconds=1e-6))
    assert told.search is not None
    assert told.search.stopped == "time"
    assert told.search.gap is None
    assert told.packages


@less
def test_ctrl_c_keeps_what_has_been_found(monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)
    monkeypatch.setattr(search.Search, "improve", interrupted)
    told = advice(AdviceRequest(CASES["blocked"](), seconds=AMPLE))
    assert told.search is not None
    assert told.search.stopped == "interrupt"
    assert told.search.gap is not None


@less
def test_whoever_listens_can_stop_the_search() -> None:
    class EnoughError(Exception):
        """No more of it."""

    def enough(done: float) -> None:
        if done > 0.2:
            raise EnoughError

    with pytest.raises(EnoughError):
        advice(AdviceRequest(many(), seconds=AMPLE), progress=enough)


def test_what_cannot_be_had_is_refused() -> None:
    with pytest.raises(TooLargeError, match="--break-even needs every package valued"):
        advice(AdviceRequest(many(), break_even=True))
    with pytest.raises(RequestError, match="--time-limit"):
        advice(AdviceRequest(many(), seconds=0.0))


@less
def test_a_budget_is_kept() -> None:
    case, freely = fewer()
    room = (freely.advised.price + case.machine.base_price) / 2
    told = advice(AdviceRequest(case, budget=room, seconds=AMPLE))
    assert case.machine.base_price <= told.advised.price <= room < freely.advised.price
    assert told.advised.npc > freely.advised.npc


@less
def test_a_preview_searches_too(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)
    told = advice_on(preview_of(AdviceRequest(CASES["blocked"](), futures=64)))
    assert told.search is not None
    assert told.futures == 64


@less
def test_packages_that_the_search_dropped_are_valued_when_asked_about(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    case = CASES["blocked"]()
    tall = Package(id="tall", options=("chuck-tall",))
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)
    monkeypatch.setattr(search.Search, "kept", lambda found: [found.best])
    found = with_package(valued_case(case), tall)
    state = states_of(found, tall)
    assert found.options(state) == ("chuck-tall",)
    alone = package_value(PackageRequest(case, package="chuck-tall"))
    assert package_answer(found, "asked", state, fresh_look(found, state)) == alone
    assert [each.option for each in retrofit_payments(valued_case(case), tall)]
    assert gaps_of(found, state).min() > gaps_of(found, best_package(found)).min()


def test_several_searches_share_the_time(monkeypatch: pytest.MonkeyPatch) -> None:
    case = case_of([option("a", 1e3), option("b", 1e3), option("c", 1e3)], [])
    monkeypatch.setattr(problem, "LARGEST_SWEEP", 0)
    given = problem_of(case)
    shares: dict[int, float] = {}

    def searched(self: large.LargeCluster) -> None:
        shares[self.cluster] = self.effort.seconds

    monkeypatch.setattr(large.LargeCluster, "searched", searched)
    _searches(case, given, world_of(case, given), Effort(seconds=60.0), None)
    assert shares == {0: 20.0, 1: 20.0, 2: 20.0}
