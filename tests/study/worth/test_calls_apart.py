"""Clusters that share a named call-out but are valued apart, each visit at a price."""

from functools import cache

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream, Way
from optioneer.model.machine import Hours, Package
from optioneer.reports.advice.hours import visits_parts
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice, Proof
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.papers.likeliest_account import likeliest_account
from optioneer.study.problem import clusters, related
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws
from optioneer.study.problem.related import calls_apart
from optioneer.study.search import large
from optioneer.study.worth.valued_case import valued_case
from tests.oracle import exact
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.oracle.machine import State
from tests.study.papers.test_likeliest_account import added_up

SEEDS = range(32)

ADVISED = 0.003
"""How much more than the best package the advised one may cost, as a share."""

ERRORS = 4.0
"""Standard errors of the drawn futures that figures may be off by."""


@pytest.fixture
def _apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """No call-out ties few enough packages."""
    monkeypatch.setattr(related, "LARGEST_CALLED", 0)


apart = pytest.mark.usefixtures("_apart")


@cache
def machine(seed: int) -> Case:
    """Three or four options that serve a kind of work each; the same team fits most of them."""
    chosen = np.random.default_rng(seed)
    options, streams = [], []
    for number in range(int(chosen.integers(3, 5))):
        price = 1000.0 * float(chosen.integers(6, 24))
        later = float(chosen.choice([1.0, 1.2, 1.4, 2.0])) if chosen.random() < 0.85 else None
        call_out = "team" if chosen.random() < 0.8 else "default"
        options.append(option(f"option-{number}", price, later, call_out=call_out))
        streams.append(_work(chosen, number, price))
    return case_of(
        options,
        streams,
        growth={"driver": (Driver(id="force"),), "futures": 1024},
        call_outs={
            "default": float(chosen.choice([400.0, 1500.0])),
            "team": float(chosen.choice([800.0, 3000.0, 9000.0])),
        },
    )


def _work(chosen: np.random.Generator, number: int, price: float) -> Stream:
    low, likely, high = sorted(chosen.uniform(0.0, 5.0, 3).tolist())
    drivers = {"force": float(chosen.choice([0.6, 0.9]))} if chosen.random() < 0.5 else {}
    return stream(
        f"work-{number}",
        between(low, likely, high),
        round(price * float(chosen.choice([0.3, 0.5, 0.8, 1.5]))),
        [],
        chance=float(chosen.choice([0.3, 0.6, 0.9])),
        way=(Way(options=(f"option-{number}",)),),
        drivers=drivers,
    )


@cache
def told(seed: int) -> tuple[Advice, Proof, dict[State, float]]:
    """What is advised with its proof, and what packages cost under the best policy there is."""
    answer = advice(AdviceRequest(machine(seed), prove=True))
    assert answer.proof is not None
    return answer, answer.proof, exact.optimum(machine(seed))


@apart
def test_they_are_apart() -> None:
    assert [lattice.size for lattice in problem_of(machine(2)).lattices] == [2, 2, 2, 2]


def test_few_packages_are_valued_as_one() -> None:
    assert [lattice.size for lattice in problem_of(machine(2)).lattices] == [16]


@apart
@pytest.mark.parametrize("seed", SEEDS)
def test_what_can_be_had_is_never_below_the_best_there_is(seed: int) -> None:
    answer, _, best = told(seed)
    room = ERRORS * answer.advised.npc_se
    assert answer.advised.npc >= best[frozenset(answer.advised.options)] - room


@apart
@pytest.mark.parametrize("seed", SEEDS)
def test_nobody_passes_the_bound(seed: int) -> None:
    answer, proof, best = told(seed)
    room = ERRORS * answer.advised.npc_se
    assert proof.bound <= min(best.values()) + ERRORS * proof.bound_se
    assert answer.advised.hindsight <= best[frozenset(answer.advised.options)] + room


@apart
@pytest.mark.parametrize("seed", SEEDS)
def test_the_advised_package_is_hardly_dearer_than_the_best(seed: int) -> None:
    answer, proof, best = told(seed)
    dearer = best[frozenset(answer.advised.options)] - min(best.values())
    assert dearer <= ADVISED * min(best.values())
    assert dearer <= proof.gap + ERRORS * proof.bound_se


@apart
@pytest.mark.parametrize("seed", SEEDS)
def test_a_visit_costs_no_less_than_the_turns_that_are_paid_of_it(seed: int) -> None:
    found = valued_case(machine(seed))
    for package in ((0,) * len(found.costs), (1, *[0] * (len(found.costs) - 1))):
        assert (found.mix.cost(package) >= -1e-6).all()


@apart
def test_where_work_never_comes_together_apart_is_as_good_as_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Each kind comes in years of its own, so that every visit is paid for by who calls for it."""
    options = [option(name, 9e3, 1.2, call_out="team") for name in "abc"]
    streams = [
        stream(name, between(first, first + 0.5, first + 1.0), 12e3, [name], chance=0.5)
        for name, first in zip("abc", (0.0, 1.0, 2.0), strict=True)
    ]
    case = case_of(options, streams, call_outs={"default": 0.0, "team": 4e3})
    assert calls_apart(case) == {"team"}
    one = advice(AdviceRequest(case))
    monkeypatch.setattr(related, "LARGEST_CALLED", 256)
    other = advice(AdviceRequest(case))
    assert one.advised.options == other.advised.options
    assert one.advised.npc == pytest.approx(other.advised.npc, rel=1e-9)


@apart
@pytest.mark.parametrize("seed", [2, 3])
def test_searched_clusters_share_visits_too(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    swept, _, best = told(seed)
    monkeypatch.setattr(clusters, "LARGEST_SWEEP", 0)
    monkeypatch.setattr(large, "SEARCHING", 128)
    found = advice(AdviceRequest(machine(seed), seconds=600.0))
    assert found.search is not None
    assert found.search.gap is not None
    assert found.visits_apart == ("team",)
    assert found.advised.options == swept.advised.options
    assert found.advised.npc == pytest.approx(swept.advised.npc, rel=2e-3)
    error = ERRORS * (found.advised.npc_se + (found.search.gap_se or 0.0))
    assert found.advised.npc - found.search.gap <= min(best.values()) + error


def test_the_page_names_the_call_outs_that_are_paid_in_turns() -> None:
    answer, _, _ = told(2)
    (part,) = visits_parts(answer)
    assert "call-out team to value" in str(part)
    assert visits_parts(answer.model_copy(update={"visits_apart": ()})) == ()


@apart
def test_in_the_likeliest_future_a_visit_is_there_once() -> None:
    """Two kinds of work come at once; the rows of the account add up to what is told."""
    options = [option(name, 9e3, 1.2, call_out="team") for name in "ab"]
    streams = [stream(name, certain(2.0), 20e3, [name], chance=0.6) for name in "ab"]
    case = case_of(options, streams, call_outs={"default": 0.0, "team": 4e3})
    case = with_draws(case, 64)
    found = valued_case(case)
    account = likeliest_account(found, Package(id="base"))
    assert [one.option for one in account.fittings] == ["a", "b"]
    assert [visit.name for visit in account.visits] == ["team"]
    assert added_up(found.case, account) == pytest.approx(account.npc, abs=0.01)


@apart
@pytest.mark.parametrize("seed", range(6))
def test_hours_and_visits_may_be_shared_at_once(seed: int, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)
    plain = machine(seed)
    streams = tuple(s.model_copy(update={"hours": 800.0}) for s in plain.growth.stream)
    case = plain.model_copy(
        update={
            "growth": plain.growth.model_copy(update={"stream": streams}),
            "hours": Hours(attended=1200.0, beyond=25.0),
        }
    )
    answer, best = advice(AdviceRequest(case, prove=True)), exact.optimum(case)
    mine, room = best[frozenset(answer.advised.options)], ERRORS * answer.advised.npc_se
    assert answer.proof is not None
    assert answer.advised.npc >= mine - room
    assert answer.proof.bound <= min(best.values()) + ERRORS * answer.proof.bound_se
    assert mine <= min(best.values()) * (1 + ADVISED)
