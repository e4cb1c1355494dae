"""The pictures of the first page: what they draw is what the advice says."""

import re

import pytest

from optioneer.app.order.budget import against, apart, with_advised
from optioneer.app.order.hangs import hanging_band
from optioneer.app.order.headline import certainty, gain, strip
from optioneer.app.order.verdict_rows import bars_of, group_rows
from optioneer.app.parts.scale import MarkedLine, nice_step
from optioneer.files.case.read import reading_of
from optioneer.model.case import Case
from optioneer.reports.advice.tables import groups_by_verdict
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice, FrontierPoint
from optioneer.study.advice.request import AdviceRequest
from tests.app.test_pages import answer_page
from tests.app.visits import draft_of, small_mill, texts_of, visit

EUROS = Figures("EUR")


@pytest.fixture(scope="module")
def case() -> Case:
    return reading_of("small-mill", small_mill()).case


@pytest.fixture(scope="module")
def told(case: Case) -> Advice:
    return advice(AdviceRequest(case))


def places(html: str, kind: str) -> list[float]:
    """Where marks of a kind stand [%]."""
    return [
        float(found) for found in re.findall(rf'class="{kind}[^"]*" style="left:([\d.]+)%', html)
    ]


def test_marks_of_the_strip_stand_in_the_order_of_what_they_mean(told: Advice) -> None:
    outcome = told.advised.outcome
    html = strip(outcome, EUROS)
    named = {
        "worst": outcome.worst_tenth,
        "low": outcome.p10,
        "middle": outcome.p50,
        "mean": outcome.mean,
        "high": outcome.p90,
        "none": outcome.not_buying,
    }
    stand = {kind: places(html, kind)[0] for kind in named}
    assert sorted(stand, key=stand.__getitem__) == sorted(named, key=named.__getitem__)
    for value in named.values():
        assert EUROS.amount(value) in html


def test_every_option_has_one_row_with_its_reason_and_its_cost(case: Case, told: Advice) -> None:
    test = visit(answer_page, draft_of(small_mill()))
    html = next(body for body in (e.proto.body for e in test.get("html")) if "verdicts" in body)
    assert html.count("<details ") == len(told.options)
    said = texts_of(test)
    for answer in told.options:
        assert case.catalogue.by_id[answer.option].name in said
        if answer.otherwise is not None:
            assert EUROS.amount(answer.otherwise) in said
    assert html.count("close") == 0 or "Too close to call" in html
    assert not test.exception


def test_what_a_verdict_hangs_on_is_drawn_over_its_range_and_said(case: Case, told: Advice) -> None:
    loose = [one for one in told.options if one.hangs_on]
    assert loose
    for answer in loose:
        assert answer.hangs_on is not None
        first = answer.hangs_on[0]
        html = hanging_band(case, answer, EUROS)
        (left, width), (here,) = (
            re.findall(r'turned" style="left:([\d.]+)%;width:([\d.]+)', html)[0],
            places(html, "here"),
        )
        start, end = float(left), float(left) + float(width)
        assert not start < here < end  # as the case stands the verdict holds
        assert f"turns {first.turns}" in html
        turn = 100 * (first.turns_at - first.low) / (first.high - first.low)
        assert (start if first.turns == "above" else end) == pytest.approx(turn, abs=0.01)
    sure = next(one for one in told.options if not one.hangs_on)
    assert hanging_band(case, sure, EUROS) == ""


def test_a_close_call_is_drawn_in_a_band_of_its_own(case: Case, told: Advice) -> None:
    group = next(g for g in groups_by_verdict(case, told, EUROS) if len(g.members) > 1)
    first = group.members[0]
    close = type(first)(first.answer.model_copy(update={"close_call": True}), first.entry)
    mixed = type(group)(group.title, group.head, group.foot, (close, *group.members[1:]))
    html = group_rows(mixed, bars_of(told), EUROS, case=case)
    close_ones = html[html.rindex('<div class="band">') :]
    assert "Too close to call" in close_ones
    assert first.entry.name in close_ones
    assert group.members[1].entry.name not in close_ones


def test_bars_share_one_scale_that_holds_nothing_and_most_options(told: Advice) -> None:
    bars = bars_of(told)
    costs = [answer.otherwise for answer in told.options if answer.otherwise is not None]
    whole = [cost for cost in costs if cost <= bars.span.high]
    assert bars.span.low <= 0.0 < bars.span.high
    assert len(whole) > len(costs) / 2


def test_a_scale_has_round_steps() -> None:
    assert [nice_step(each) for each in (0.3, 3.0, 11.0, 60.0, 4_001.0)] == [
        1.0,
        5.0,
        20.0,
        100.0,
        5_000.0,
    ]


def test_a_mark_beyond_the_line_stands_at_its_end() -> None:
    assert MarkedLine(-10.0, 10.0).at(-99.0) == 0.0


def test_the_glance_says_whether_buying_pays_and_what_is_open(told: Advice) -> None:
    outcome = told.advised.outcome
    said = gain(told, EUROS)
    assert EUROS.amount(abs(outcome.mean - outcome.not_buying)) in said
    assert ("less" in said) == (outcome.mean < outcome.not_buying)
    assert certainty(told, EUROS)[0].endswith("settled")


def test_the_budget_says_what_each_package_has_other_than_the_advice(
    case: Case, told: Advice
) -> None:
    advised = FrontierPoint(
        price=told.advised.price, npc=told.advised.npc, options=told.advised.options
    )
    assert against(case, told, advised) == "That is the advised package."
    dropped = advised.options[0]
    less = advised.model_copy(update={"options": advised.options[1:]})
    assert (
        against(case, told, less) == f"Against the advice: - {case.catalogue.by_id[dropped].name}."
    )


def test_the_advised_package_is_on_the_frontier_once(told: Advice) -> None:
    without = told.model_copy(update={"frontier": told.frontier[:1]})
    for advice_ in (told, without):
        prices = [point.price for point in with_advised(advice_)]
        assert prices.count(told.advised.price) == 1
        assert prices == sorted(prices)


def test_a_package_far_beyond_the_frontier_is_told_not_drawn() -> None:
    points = [FrontierPoint(price=price, npc=npc, options=()) for price, npc in ((1, 9), (2, 8))]
    near, far = {"package": "a", "price": 2.5, "npc": 8.5}, {"package": "b", "price": 9.0, "npc": 8}
    assert apart([near, far], points) == ([near], [far])
