"""The curve of the account and its controls."""

from optioneer.app.money.controls import Tried, controls_of, tried_of
from optioneer.app.money.curve import called_by_name, lowest_marks, most_in_a_month, way_names
from optioneer.charts.account import account_chart, paid_chart
from optioneer.charts.bands import balance_band, ends_of
from optioneer.reports.cash.rows import ChartRow
from optioneer.study.cash.conditions import Conditions
from optioneer.study.cash.dates import ON_TIME, Delay
from tests.app.test_money_pages import FIGURES, case_of, study_of
from tests.app.visits import small_mill


def test_ways_that_fall_lowest_together_share_one_mark() -> None:
    study, names = study_of(small_mill()), way_names(case_of(small_mill()))
    first, *_ = study.ledgers
    twice = study.__class__(study.answer, (first, first), study.lines, study.gap)
    assert [mark["mark"] for mark in lowest_marks(twice, names, FIGURES)] == ["1, 2", ""]
    assert [mark["mark"] for mark in lowest_marks(study, names, FIGURES)] == ["1", "2"]


def test_shown_money_is_called_by_names_and_is_the_same_money() -> None:
    study, names = study_of(small_mill()), way_names(case_of(small_mill()))
    told = called_by_name(study, names)
    assert [one.answer.id for one in told.ledgers] == [names[o.answer.id] for o in study.ledgers]
    assert [one.entries for one in told.ledgers] == [one.entries for one in study.ledgers]
    assert told.answer.cheapest == names[str(study.answer.cheapest)]


def test_controls_that_stand_where_the_case_stands_try_nothing() -> None:
    controls = controls_of(case_of(small_mill()), "bank", 60_000.0)
    held = {control.word: control.here for control in controls}
    assert tried_of(controls, held) == Tried(Conditions(), ON_TIME)
    assert tried_of(controls, held).nothing
    moved = {**held, "rate": 9.0, "acceptance": 6.0, "points": 1.0}
    assert tried_of(controls, moved) == Tried(
        Conditions(rate=0.09), Delay(acceptance_weeks=6.0, rate_points=0.01)
    )


def test_a_staged_way_has_no_terms_of_a_loan() -> None:
    words = {each.word for each in controls_of(case_of(small_mill()), "staged", 60_000.0)}
    assert words == {"opening", "machine", "acceptance"}


def test_the_scale_of_payments_holds_the_largest_month_of_any_way() -> None:
    rows: list[ChartRow] = [
        {"plan": "a", "month": "2027-01-01", "kind": "contract", "amount": 5.0},
        {"plan": "a", "month": "2027-01-01", "kind": "fee", "amount": 2.0},
        {"plan": "b", "month": "2027-01-01", "kind": "contract", "amount": 6.0},
        {"plan": "b", "month": "2027-01-01", "kind": "sales-tax", "amount": -3.0},
    ]
    assert most_in_a_month(rows) == 7.0


def test_both_panels_lie_on_the_same_days_and_what_to_keep_is_shaded() -> None:
    span = ("2027-01-01", "2028-01-01")
    left = [{"way": "A", "day": "2027-01-01", "balance": 5.0}]
    above = account_chart(left, [], chosen="A", keep_above=9.0, currency="EUR", span=span).to_dict()
    moved = [{"month": "2027-01-01", "kind": "sales-tax", "amount": 1.0}]
    below = paid_chart(moved, most=2.0, currency="EUR", span=span).to_dict()
    zone, _, lines, *_ = above["layer"]
    assert zone["encoding"]["y2"]["field"] == "keep"
    days = (lines["encoding"]["x"], below["encoding"]["x"])
    assert {tuple(each["scale"]["domain"]) for each in days} == {span}
    assert below["encoding"]["color"]["scale"]["domain"] == ["sales tax"]


def test_the_bands_of_all_ways_stand_on_one_scale_with_what_to_keep_in_sight() -> None:
    rows = [{"month": "2027-01-01", "low": -50.0, "middle": 10.0, "high": 90.0}]
    low, high = ends_of(rows, keep_above=120.0)
    assert low < -50.0
    assert high > 120.0
    drawn = balance_band(rows, ends=(low, high), keep_above=120.0, currency="EUR").to_dict()
    assert drawn["layer"][0]["encoding"]["y"]["scale"]["domain"] == [low, high]
    band, middle = drawn["layer"][2:]
    assert (band["encoding"]["y"]["field"], band["encoding"]["y2"]["field"]) == ("low", "high")
    assert middle["encoding"]["y"]["field"] == "middle"
