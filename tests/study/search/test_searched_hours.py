"""Searched clusters whose work takes hours: against exact enumeration."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice, SearchAnswer
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem import clusters
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.study.search import large
from optioneer.valuation.large import short_list
from optioneer.valuation.large.programme import cheapest_order
from optioneer.valuation.large.short_list import Appraisal, Listed, with_journeys_in
from optioneer.valuation.timing.sweep import hindsight_cost
from tests.oracle import exact
from tests.oracle.cases import certain, stream
from tests.oracle.machine import State
from tests.study.worth.test_hours_apart import shop

SEEDS = range(10)

AMPLE = 600.0
"""Time that no search here needs [s]: what is found must not hang on the machine."""

ADVISED = 0.003
"""How much more than the best package the advised one may cost, as a share."""

ERRORS = 4.0
"""Standard errors of the drawn futures that figures may be off by."""


@pytest.fixture(autouse=True)
def searched(monkeypatch: pytest.MonkeyPatch) -> None:
    """No cluster is small enough to be swept, and searches are short."""
    monkeypatch.setattr(clusters, "LARGEST_SWEEP", 0)
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)
    monkeypatch.setattr(large, "CHOOSING", 8)
    monkeypatch.setattr(large, "SEARCHING", 128)
    monkeypatch.setattr(large, "BATCHES", 8)
    monkeypatch.setattr(large, "BATCH", 16)


@cache
def tied(seed: int) -> Case:
    """A shop short of hours whose options all hang together."""
    case = shop(seed)
    names = [option.option for option in case.catalogue.options]
    streams = (*case.growth.stream, stream("tie", certain(0.0), 0.0, names))
    growth = case.growth.model_copy(update={"stream": streams})
    return with_draws(case.model_copy(update={"growth": growth}), 1024)


@cache
def told(seed: int) -> tuple[Advice, SearchAnswer, dict[State, float]]:
    """What is advised, its search, and what packages cost under the best policy there is."""
    answer = advice(AdviceRequest(tied(seed), seconds=AMPLE))
    assert answer.search is not None
    return answer, answer.search, exact.optimum(tied(seed))


def test_the_cluster_is_searched() -> None:
    lattices = problem_of(tied(0)).lattices
    assert [isinstance(lattice, Listed) for lattice in lattices] == [True, False]
    assert not problem_of(tied(0)).together


@pytest.mark.parametrize("seed", SEEDS)
def test_the_advised_package_is_hardly_dearer_than_the_best(seed: int) -> None:
    answer, _, best = told(seed)
    assert best[frozenset(answer.advised.options)] <= min(best.values()) * (1 + ADVISED)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_can_be_had_is_never_below_the_best_there_is(seed: int) -> None:
    answer, _, best = told(seed)
    mine, room = best[frozenset(answer.advised.options)], ERRORS * answer.advised.npc_se
    assert mine - room <= answer.advised.npc <= mine * (1 + ADVISED) + room


@pytest.mark.parametrize("seed", SEEDS)
def test_nobody_passes_the_bound(seed: int) -> None:
    answer, search, best = told(seed)
    assert search.stopped is None
    assert search.npc_at_least is not None
    error = ERRORS * ((search.gap_se or 0.0) + answer.advised.npc_se)
    assert search.npc_at_least <= min(best.values()) + error


@pytest.mark.parametrize("seed", SEEDS)
def test_hours_are_told_as_of_any_case(seed: int) -> None:
    answer, _, _ = told(seed)
    assert answer.hours is not None
    assert not answer.hours.exact
    needed = tied(seed).growth.stream
    assert max(year.needed.p90 for year in answer.hours.years) <= sum(s.hours for s in needed)


@pytest.mark.parametrize("seed", SEEDS)
def test_a_package_alone_costs_what_its_lattice_says_at_the_same_price(seed: int) -> None:
    """With the future known: every retrofit that can pay is weighed, so that none is missed."""
    problem = problem_of(tied(seed))
    world = world_of(tied(seed), problem)
    (found, _) = problem.lattices
    assert isinstance(found, Listed)
    whole, look = found.terms.lattice, Appraisal(found.terms, world, map)
    swept = np.concatenate([hindsight_cost(view) for view in world.views(whole)], axis=1)
    for state in (0, 5, whole.size - 1):
        package = tuple(int(level) for level in whole.levels[:, state])
        alone = look.worth(package, only="hindsight").hindsight
        assert (alone >= swept[state] + whole.price[state] - 1e-6).all()
        assert alone.mean() == pytest.approx(float(swept[state].mean()) + whole.price[state], 1e-4)


def test_nothing_is_learned_twice_of_a_package_whatever_futures_it_is_seen_in(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = problem_of(tied(0))
    world = world_of(tied(0), problem)
    (found, _) = problem.lattices
    assert isinstance(found, Listed)
    cost = Appraisal(found.terms, world, map).cost([cheapest_order(found.terms)])
    assert cost.journeys is not None
    cost.journeys(0)
    elsewhere = with_journeys_in(replace(world, valued=world.valued.every(2)), cost)
    apart = replace(world, learned=world.learned.every(2))
    monkeypatch.setattr(short_list, "policy_of", _learning_anew)
    assert elsewhere.journeys is not None
    assert elsewhere.journeys(0).cost.tolist() == cost.journeys(0).cost[::2].tolist()
    with pytest.raises(LearnedAnewError):
        Appraisal(found.terms, apart, map).journey(cheapest_order(found.terms))


class LearnedAnewError(Exception):
    """Something was learned that was known."""


def _learning_anew(*_: object) -> None:
    raise LearnedAnewError
