"""One frozen request a question: equal content, equal request; what is wrong is refused at once."""

from dataclasses import replace
from datetime import date

import pytest

from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest, Aim, PackageRequest
from optioneer.study.compare.compare import ComparisonRequest
from optioneer.study.compare.currencies import Exchange
from optioneer.study.problem.request import Request
from optioneer.study.unknowns.ranges import ranged_figures
from optioneer.study.whatif.one_at_a_time import RangesRequest
from optioneer.study.whatif.trials import TogetherRequest, Trials
from optioneer.study.whatif.whatif import TurningRequest, WhatIfRequest
from optioneer.study.worth.changes import asked_change
from optioneer.study.worth.figures import Figure
from tests import shop
from tests.paying_cases import BANK, STAGED, case

TAX = '[income_tax]\nrate = 0.25\nmethod = "straight-line"\nlife_years = 7\n'


def requests(one: Case) -> list[Request | ComparisonRequest]:
    """One of each kind, on facts read anew."""
    figure = Figure("chance", one.growth.stream[0].id)
    return [
        AdviceRequest(one, budget=4e5, aim=Aim(0.01), prove=True),
        PackageRequest(one, package="a", without=("b",)),
        WhatIfRequest(one, changes=(asked_change("discount-rate", "0.1"),)),
        TurningRequest(one, figure=figure, values=(0.1, 0.2)),
        RangesRequest(one, ranges=ranged_figures(one), sample=64),
        TogetherRequest(one, trials=Trials(points=64)),
        ComparisonRequest((one,), exchange=Exchange("USD", {"EUR": 1.1}, date(2026, 1, 2))),
    ]


def test_requests_with_the_same_content_are_one_key() -> None:
    first, second = requests(shop.case()), requests(shop.case())
    assert first == second
    kept = dict.fromkeys(first)
    assert all(request in kept for request in second)
    assert len(kept) == len(first)


def test_whatever_an_answer_hangs_on_tells_requests_apart() -> None:
    plain = AdviceRequest(case(BANK, STAGED))
    changed = [
        replace(plain, case=shop.case()),
        replace(plain, futures=64),
        replace(plain, seed=1),
        replace(plain, plan="bank"),
        replace(plain, paid_at_order=True),
        replace(plain, before_tax=True),
        replace(plain, budget=4e5),
        replace(plain, seconds=5.0),
        replace(plain, weight=0.3),
        replace(plain, aim=Aim()),
        replace(plain, break_even=True),
        replace(plain, prove=True),
    ]
    assert len({plain, *changed}) == len(changed) + 1


def test_the_facts_that_count_are_those_asked_for() -> None:
    one = case(BANK, STAGED, use="staged")
    asked = Request(one, futures=64, seed=5, plan="bank")
    assert (asked.counted.growth.futures, asked.counted.growth.seed) == (64, 5)
    assert asked.counted.paying.use == "bank"  # type: ignore[union-attr] # it has plans
    assert Request(one).counted == one
    at_once = Request(one, paid_at_order=True).counted.paying
    assert at_once is not None
    assert at_once.use is None


@pytest.mark.parametrize(
    "wrong",
    [
        {"futures": 3},
        {"seed": -1},
        {"plan": "nobody"},
        {"seconds": 0.0},
        {"weight": 1.5},
        {"weight": 0.3, "break_even": True},
        {"weight": 0.3, "aim": Aim()},
        {"weight": 0.3, "seconds": 5.0},
        {"aim": Aim(), "seconds": 5.0},
    ],
)
def test_what_cannot_be_asked_is_refused_before_anything_is_valued(
    wrong: dict[str, object],
) -> None:
    with pytest.raises(OptioneerError):
        AdviceRequest(case(BANK, STAGED), **wrong)  # type: ignore[arg-type] # one of several


def test_the_same_request_has_the_same_answer() -> None:
    asked = AdviceRequest(shop.case(), futures=64, seed=3)
    assert advice(asked) == advice(replace(asked))
