"""Draws on the edge of what can be drawn, and sums that come out as no number."""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import qmc

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import futures_of, lesson_count, with_draws
from optioneer.study.worth.valued_case import must_be_finite, valued_case
from optioneer.valuation.worlds.futures import Futures, quasi_random
from tests.oracle.cases import case_of, certain, driven, option, stream

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


def drawn(case: Case) -> tuple[Futures, Futures]:
    """To value on, and to learn from."""
    problem = problem_of(case)
    lessons = lesson_count(case, problem)
    valued = futures_of(case, problem, case.growth.futures, use=0)
    return valued, futures_of(case, problem, lessons, use=1)


@pytest.mark.parametrize(("demo", "seed"), [("small-mill", 5059), ("mill-turn", 221)])
def test_a_point_on_the_edge_of_the_sequence_is_drawn_as_a_finite_number(
    demo: str, seed: int
) -> None:
    """With these seeds a coordinate was 0, of which the normal quantile is minus infinity."""
    for futures in drawn(with_draws(read_case(DEMOS / demo), seed=seed)):
        paths = [path for path in futures.log_swing if path is not None]
        for each in (futures.drivers, futures.shocks, futures.level, *paths):
            assert np.isfinite(each).all()


def test_the_demo_whose_advice_ended_in_no_number() -> None:
    answer = advice(AdviceRequest(with_draws(read_case(DEMOS / "small-mill"), seed=5059)))
    assert np.isfinite(
        [answer.advised.npc, answer.advised.npc_se, answer.advised.outcome.p90]
    ).all()


@pytest.mark.parametrize("rows", [1, 7])
def test_every_point_is_in_the_middle_of_its_cell(rows: int) -> None:
    cell = 2.0**-30
    points = quasi_random(rows, 256, seed=11)
    sampler = qmc.Sobol(rows, scramble=True, rng=np.random.default_rng(11))
    np.testing.assert_allclose(points, sampler.random(256).T + cell / 2, rtol=0, atol=1e-16)
    assert points.min() >= cell / 2
    assert points.max() <= 1 - cell / 2


def test_work_that_is_certain_comes_however_far_it_is_nudged_away() -> None:
    work = stream("work", certain(1.0), 9e3, ["probe"], drivers={"automation": 1.0})
    pushed = driven().growth.driver[0].model_copy(update={"id": "automation", "nudge": -10.0})
    case = case_of([option("probe", 12e3)], [work], growth={"driver": (pushed,)})
    futures, _ = drawn(case)
    assert (futures.arrival < case.growth.periods).all()


def test_a_cost_that_is_no_number_is_refused_with_case_and_seed() -> None:
    found = valued_case(with_draws(read_case(DEMOS / "small-mill"), 64, 5))
    first, *others = found.costs
    learned = first.learned.copy()
    learned[int(np.flatnonzero(first.lattice.orderable)[0]), 3] = np.nan
    spoilt = replace(found, costs=(replace(first, learned=learned), *others))
    must_be_finite(found)
    with pytest.raises(FloatingPointError, match=r"seed 5 and 64 futures"):
        must_be_finite(spoilt)
