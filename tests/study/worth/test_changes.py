"""Changing figures of a case: what is understood, what is set, what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.errors import CaseError, RequestError
from optioneer.model.fact import Triangular
from optioneer.study.worth.changes import (
    FIGURES,
    Asked,
    Figure,
    What,
    asked_change,
    figure_of,
    one_figure,
    with_changes,
    with_figure,
)
from tests import shop

NAMED: dict[What, str] = {
    "nudge": "automation",
    "chance": "night",
    "margin": "night",
    "multiplier": "robot-cell",
    "price": "robot-cell",
    "later-price": "robot-cell",
    "horizon": "",
    "discount-rate": "",
}


@pytest.mark.parametrize("what", FIGURES)
@given(factor=st.sampled_from([0.5, 0.8, 1.0, 1.5]))
def test_a_figure_that_is_set_reads_as_set_and_nothing_else_changes(
    what: What, factor: float
) -> None:
    case, figure = shop.case(), Figure(what, NAMED[what])
    before = figure_of(case, figure)
    changed = with_figure(case, figure, before * factor + (what == "nudge"))
    assert figure_of(changed, figure) == pytest.approx(before * factor + (what == "nudge"))
    for other in FIGURES:
        if other != what:
            there = Figure(other, NAMED[other])
            assert figure_of(changed, there) == figure_of(case, there)
    back = with_figure(changed, figure, before)
    assert figure_of(back, figure) == pytest.approx(before)


def test_low_likely_and_high_are_scaled_together_the_eased_ones_too() -> None:
    case, _ = with_changes(shop.case(), [asked_change("multiplier", "robot-cell=2.4")])
    cell = case.catalogue.by_id["robot-cell"]
    assert cell.multiplier == Triangular(low=2.2, likely=2.4, high=2.8)
    assert cell.eased == Triangular(low=2.0, likely=2.0, high=2.2)
    case, _ = with_changes(case, [asked_change("margin", "night=x2")])
    night = next(stream for stream in case.growth.stream if stream.id == "night")
    assert night.margin == Triangular(low=40_000, likely=70_000, high=140_000)


def test_a_price_with_the_order_leaves_the_later_price_alone_and_the_other_way_round() -> None:
    asked = [
        asked_change("price", "robot-cell=60000"),
        asked_change("later-price", "robot-cell=x2"),
    ]
    before = shop.case().catalogue.by_id["robot-cell"]
    cell = with_changes(shop.case(), asked)[0].catalogue.by_id["robot-cell"]
    assert (cell.price, cell.later_price) == (60_000, 2 * before.price)
    assert with_changes(shop.case(), asked[::-1])[0].catalogue.by_id["robot-cell"] == cell


def test_several_changes_are_made_and_told() -> None:
    asked = [asked_change("chance", "night=0.8"), asked_change("price", " robot-cell = x0.5 ")]
    case, changes = with_changes(shop.case(), asked)
    assert case.catalogue.by_id["robot-cell"].price == 31_000
    assert [(c.what, c.name, c.before, c.after) for c in changes] == [
        ("chance", "night", 0.45, 0.8),
        ("price", "robot-cell", 62_000, 31_000),
    ]


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("chance", "night"),
        ("chance", "night=often"),
        ("chance", "night=nan"),
        ("price", "robot-cell=1,000"),
        ("horizon", "years=5"),
        ("horizon", ""),
        ("price", "robot-cell=x"),
    ],
)
def test_what_is_not_understood_is_told_with_the_form(what: What, text: str) -> None:
    with pytest.raises(RequestError, match=f"^--{what}: '{text}' is not understood. Write .*VALUE"):
        asked_change(what, text)


@pytest.mark.parametrize(
    ("what", "name", "said"),
    [
        ("chance", "nigth", "chance: there is no stream 'nigth'. Did you mean 'night'?"),
        ("nudge", "autmation", "nudge: there is no driver 'autmation'. Did you mean 'automation'?"),
        ("price", "robot-sell", "price: there is no option 'robot-sell'. Did you mean"),
        ("multiplier", "sub-spindle", "multiplier sub-spindle: the option is factory-only"),
        ("later-price", "sub-spindle", "later-price sub-spindle: the option is factory-only"),
    ],
)
def test_an_unknown_name_is_one_sentence(what: What, name: str, said: str) -> None:
    with pytest.raises(RequestError) as told:
        with_changes(shop.case(), [Asked(Figure(what, name), 1.0)])
    assert str(told.value).startswith(said)


@pytest.mark.parametrize(
    ("what", "value"),
    [("chance", 1.2), ("price", -1.0), ("margin", -5.0), ("discount-rate", 2.0), ("nudge", 50.0)],
)
def test_a_value_that_the_model_does_not_allow_is_refused(what: What, value: float) -> None:
    with pytest.raises(RequestError, match="is not allowed"):
        with_changes(shop.case(), [Asked(Figure(what, NAMED[what]), value)])


def test_a_case_that_no_longer_fits_together_is_refused_with_its_faults() -> None:
    with pytest.raises(CaseError, match="no whole number"):
        with_changes(shop.case(), [asked_change("horizon", "5.1")])


def test_nothing_to_change_and_one_thing_twice_are_mistakes() -> None:
    with pytest.raises(RequestError, match="Nothing is changed"):
        with_changes(shop.case(), [])
    with pytest.raises(RequestError, match="chance night is given twice"):
        with_changes(shop.case(), [asked_change("chance", "night=x2")] * 2)


def test_along_a_range_just_one_figure_changes() -> None:
    assert one_figure({"chance": None, "horizon": ""}) == Figure("horizon")
    with pytest.raises(RequestError, match="found none"):
        one_figure({"chance": None})
    with pytest.raises(RequestError, match="found chance night, horizon"):
        one_figure({"chance": "night", "horizon": ""})
