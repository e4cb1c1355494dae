"""How near the advice comes to the best that anyone could do, and how many futures that takes."""

from pathlib import Path

import pytest

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.study.advice import precision
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice, Proof
from optioneer.study.advice.precision import most_futures
from optioneer.study.advice.request import AdviceRequest, Aim, half_interval, unsettled_verdicts
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.valued_case import valued_case
from tests.cases_as_texts import few, mill, read, with_cell
from tests.oracle import exact
from tests.oracle.cases import CASES
from tests.oracle.waiting import waiting
from tests.valuation.lattice.retrofit import Retrofit, open_retrofit

DEMOS = Path(__file__).parents[3] / "catalogs_demo"


def proven(answer: Advice) -> Proof:
    assert answer.proof is not None
    return answer.proof


def swinging(case: Case, swing: float) -> Case:
    """`case` with every margin swinging."""
    streams = tuple(s.model_copy(update={"swing": swing}) for s in case.growth.stream)
    return case.model_copy(update={"growth": case.growth.model_copy(update={"stream": streams})})


def without_site(case: Case) -> Case:
    return case.model_copy(update={"site": None})


def without_hours(case: Case) -> Case:
    return case.model_copy(update={"hours": None})


SWINGS = [("mill-turn", 0.25), ("small-mill", 0.25), ("small-mill", 0.0), ("mill-turn", 0.0)]
"""Demos and how much their margins swing."""


@pytest.mark.parametrize(("demo", "swing"), SWINGS)
def test_on_the_demos_the_gap_is_below_half_a_percent_of_what_is_decided(
    demo: str, swing: float
) -> None:
    """Without their sites and hours: later bills and the mix of work are in no bound, see below."""
    anywhere = without_hours(without_site(read_case(DEMOS / demo)))
    case = swinging(with_draws(anywhere, 512), swing)
    answer = advice(AdviceRequest(case, prove=True))
    found = proven(answer)
    assert found.gap_share is not None
    assert found.gap_share <= 0.005
    assert found.gap_share == pytest.approx(found.gap / found.decided)
    assert found.bound == pytest.approx(answer.advised.npc - found.gap)
    assert found.gap < answer.advised.learned - answer.advised.hindsight


@pytest.mark.parametrize("demo", ["small-mill", "mill-turn"])
def test_a_site_widens_the_gap_by_no_more_than_its_later_bills(demo: str) -> None:
    """Those of the package that is the best without them, which the advice can always choose."""
    case = with_draws(without_hours(read_case(DEMOS / demo)), 256)
    found = valued_case(case)
    unbilled = found.site.least(found.means, [])
    assert unbilled is not None
    bills = float(found.site.cost(unbilled).mean()) - found.site.now(unbilled)
    told = proven(advice(AdviceRequest(case, prove=True)))
    assert bills > 0.0
    assert told.gap - bills <= 0.005 * told.decided


@pytest.mark.parametrize("name", ["prepared", "blocked", "driven", "left_off"])
def test_the_bound_lies_below_the_exact_optimum_and_the_advice_above(name: str) -> None:
    case, best = CASES[name](), exact.optimum(CASES[name]())
    answer = advice(AdviceRequest(case, prove=True))
    least, found = min(best.values()), proven(answer)
    room = 3 * max(found.bound_se, answer.advised.npc_se) + 1e-6
    assert found.bound <= least + room
    assert least <= answer.advised.npc + room


def test_a_swinging_retrofit_is_bracketed_around_the_value_on_the_lattice() -> None:
    retrofit = Retrofit(open_retrofit(9e3, 0.5))
    answer = advice(AdviceRequest(retrofit.case, prove=True))
    found = proven(answer)
    value = waiting(retrofit.worth, retrofit.price, volatility=retrofit.volatility, steps=50).value
    (bare,) = [p for p in answer.packages if p.id == "base"]
    open_cost = 100e3 + float(retrofit.margin.sum()) - value
    assert bare.npc == pytest.approx(open_cost, rel=0.003, abs=3 * bare.npc_se)
    assert found.bound <= min(open_cost, answer.advised.npc) + 3 * found.bound_se


def test_under_a_budget_the_bound_keeps_to_it_too() -> None:
    case = without_site(with_draws(without_hours(read_case(DEMOS / "small-mill")), 512))
    free, tight = (
        advice(AdviceRequest(case, prove=True)),
        advice(AdviceRequest(case, prove=True, budget=84_000.0)),
    )
    assert tight.advised.npc > free.advised.npc
    assert proven(tight).bound > proven(free).bound
    share = proven(tight).gap_share
    assert share is not None
    assert share <= 0.005


def test_futures_are_doubled_until_the_interval_is_narrow_enough() -> None:
    case = with_draws(without_hours(read(few(mill())).case), 256)
    answer = advice(AdviceRequest(case, aim=Aim(0.002)))
    how = answer.precision
    assert how is not None
    assert how.enough
    assert how.tries == tuple(256 * 2**i for i in range(len(how.tries)))
    assert len(how.tries) > 1
    assert answer.futures == how.tries[-1]
    assert half_interval(answer) == how.reached <= 0.002
    before = advice(AdviceRequest(with_draws(case, how.tries[-2])))
    assert half_interval(before) > 0.002
    assert answer.advised == advice(AdviceRequest(with_draws(case, answer.futures))).advised


def test_or_until_no_verdict_is_a_close_call() -> None:
    texts = with_cell(mill(64), "magazine-30", price="1900")
    case = without_hours(read(texts).case)
    assert unsettled_verdicts(advice(AdviceRequest(case))) > 0
    answer = advice(AdviceRequest(case, aim=Aim()))
    assert answer.precision is not None
    assert answer.precision.enough
    assert answer.precision.close_calls == unsettled_verdicts(answer) == 0


def test_progress_only_goes_forward_and_ends_at_one_at_most() -> None:
    told: list[float] = []
    case = with_draws(without_hours(read(few(mill())).case), 64)
    advice(AdviceRequest(case, aim=Aim(0.003)), progress=told.append)
    assert told == sorted(told)
    assert 0.0 <= told[0] < told[-1] <= 1.0


def test_no_more_futures_than_the_largest_cluster_can_hold(monkeypatch: pytest.MonkeyPatch) -> None:
    case = with_draws(without_hours(read_case(DEMOS / "small-mill")), 64)
    assert most_futures(case) == 65536
    monkeypatch.setattr(precision, "MOST_FUTURES", 1000)
    answer = advice(AdviceRequest(with_draws(case, 600), aim=Aim(1e-6)))
    assert answer.precision is not None
    assert not answer.precision.enough
    assert answer.precision.tries == (600,)
