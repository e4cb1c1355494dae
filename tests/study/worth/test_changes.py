"""Changing figures of a case: what is understood, what is set, what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.errors import CaseError, RequestError
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.model.machine import Hours
from optioneer.study.worth.changes import Asked, asked_change, one_figure, with_changes
from optioneer.study.worth.figures import FIGURES, Figure, What, figure_of, with_figure
from tests import shop

NAMED: dict[What, str] = {
    "nudge": "automation",
    "chance": "night",
    "margin": "night",
    "multiplier": "robot-cell",
    "price": "robot-cell",
    "years": "night",
    "lasts-years": "night",
    "fallback": "night",
    "growth": "night",
    "swing": "night",
    "hours": "night",
    "later-price": "robot-cell",
    "downtime-days": "robot-cell",
    "attended": "",
    "beyond": "",
    "kept-years": "",
    "horizon": "",
    "discount-rate": "",
}


def told(case: Case) -> Case:
    """The case with what else ends with the horizon, and with what else is nothing."""
    case = case.model_copy(update={"hours": Hours(attended=1700.0, beyond=60.0)})
    for figure, value in UNTOLD.items():
        case = with_figure(case, figure, value)
    return case


UNTOLD = {
    Figure("lasts-years", "night"): 4.0,
    Figure("kept-years"): 6.0,
    Figure("years", "night"): 3.0,
    Figure("fallback", "night"): 0.2,
    Figure("growth", "night"): 0.02,
    Figure("swing", "night"): 0.1,
    Figure("hours", "night"): 600.0,
}


@pytest.mark.parametrize("what", FIGURES)
@given(factor=st.sampled_from([0.5, 0.8, 1.0, 1.5]))
def test_a_figure_that_is_set_reads_as_set_and_nothing_else_changes(
    what: What, factor: float
) -> None:
    case, figure = told(shop.case()), Figure(what, NAMED[what])
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


def stream_of(case: Case) -> Stream:
    return next(each for each in case.growth.stream if each.id == "night")


def test_arrivals_and_chances_move_as_far_and_lives_are_scaled() -> None:
    lives = [Figure("lasts-years", "night"), Figure("kept-years")]
    case = shop.case()
    assert [figure_of(case, figure) for figure in lives] == [case.growth.horizon_years] * 2
    ranged = {"years": RANGE, "chance": Triangular(low=0.1, likely=0.2, high=0.5)}
    night = stream_of(case).model_copy(update={**ranged, "lasts_years": RANGE})
    others = tuple(each for each in case.growth.stream if each.id != "night")
    growth = case.growth.model_copy(update={"stream": (*others, night)})
    machine = case.machine.model_copy(update={"kept_years": RANGE})
    case = case.model_copy(update={"growth": growth, "machine": machine})

    asked = [asked_change(what, "night=0.5") for what in ("years", "chance")]
    changed = with_changes(case, [*asked, asked_change("lasts-years", "night=x2")])[0]
    night = stream_of(changed)
    assert night.years == Triangular(low=0.0, likely=0.5, high=2.5)
    assert night.chance == Triangular(low=0.4, likely=0.5, high=0.8)
    assert night.lasts_years == Triangular(low=2.0, likely=4.0, high=8.0)
    stay = with_figure(case, Figure("kept-years"), 1.0).machine.kept_years
    assert stay == Triangular(low=0.5, likely=1.0, high=2.0)


def test_hours_of_a_stream_and_of_its_ways_are_scaled_together() -> None:
    night = stream_of(shop.case())
    ways = (night.way[0].model_copy(update={"hours": 800.0}), *night.way[1:])
    night = night.model_copy(update={"hours": 400.0, "way": ways})
    others = tuple(each for each in shop.case().growth.stream if each.id != "night")
    growth = shop.case().growth.model_copy(update={"stream": (*others, night)})
    case = shop.case().model_copy(update={"growth": growth})
    assert figure_of(case, Figure("hours", "night")) == 800.0
    night = stream_of(with_figure(case, Figure("hours", "night"), 1000.0))
    assert (night.hours, night.way[0].hours) == (500.0, 1000.0)


def test_without_hours_there_are_none_to_change() -> None:
    with pytest.raises(RequestError, match="attended: the case limits no hours"):
        figure_of(shop.case(), Figure("attended"))
    endless = shop.case().model_copy(update={"hours": Hours(attended=10.0)})
    with pytest.raises(RequestError, match="beyond: the case has no hours beyond"):
        figure_of(endless, Figure("beyond"))


def test_what_is_known_is_one_value() -> None:
    known = [Figure(what, "night", known=True) for what in ("chance", "lasts-years")]
    case = with_figure(with_figure(shop.case(), known[0], 0.25), known[1], 3.0)
    night = stream_of(case)
    assert (night.chance, night.lasts_years) == (0.25, 3.0)


RANGE = Triangular(low=1.0, likely=2.0, high=4.0)


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
        ("downtime-days", "sub-spindle", "downtime-days sub-spindle: the option is factory-only"),
        ("later-price", "sub-spindle", "later-price sub-spindle: the option is factory-only"),
    ],
)
def test_an_unknown_name_is_one_sentence(what: What, name: str, said: str) -> None:
    with pytest.raises(RequestError) as told:
        with_changes(shop.case(), [Asked(Figure(what, name), 1.0)])
    assert str(told.value).startswith(said)


@pytest.mark.parametrize(
    ("what", "value"),
    [
        ("chance", 1.2),
        ("price", -1.0),
        ("margin", -5.0),
        ("years", -1.0),
        ("lasts-years", -1.0),
        ("fallback", 1.2),
        ("growth", -1.0),
        ("swing", -0.1),
        ("downtime-days", -1.0),
        ("kept-years", -1.0),
        ("discount-rate", 2.0),
        ("nudge", 50.0),
    ],
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
