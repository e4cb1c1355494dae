"""Hours on the page, in the chart and in the JSON."""

from itertools import pairwise
from pathlib import Path

import pytest

from optioneer.charts.hours import needed_chart, worth_chart
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_new_case
from optioneer.model.case import Case
from optioneer.model.machine import Hours
from optioneer.reports.advice.hours import APART, HEADS, hour_rows, hours_parts
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph, Table
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem import clusters
from optioneer.study.problem.futures import with_draws
from tests.hours import short_of_hours
from tests.lessons import few_lessons

DEMO = Path(__file__).parent.parent.parent / "catalogs_demo" / "second-mill"
USD = Figures("USD", "en_US")


def demo(attended: float = 1500.0, beyond: float | None = None) -> Case:
    """A demo short of hours, before tax, on few futures."""
    untaxed = read_case(DEMO).model_copy(update={"paying": None})
    return with_draws(short_of_hours(untaxed, attended=attended, beyond=beyond), 128)


def told(case: Case) -> Advice:
    """The advice on a case, learned from few futures."""
    with few_lessons():
        return advice(AdviceRequest(case))


def test_without_a_limit_nothing_is_said_of_hours() -> None:
    unlimited = demo().model_copy(update={"hours": None})
    answer = told(unlimited)
    assert answer.hours is None
    assert hours_parts(answer, USD) == ()
    assert hour_rows(answer) == []


def test_every_year_says_what_is_needed_there_and_worth() -> None:
    answer = told(demo())
    hours = answer.hours
    assert hours is not None
    assert [year.year for year in hours.years] == list(range(1, 9))
    assert hours.years[0].start == demo().dates.first_chips_date
    assert all(one.end == next_one.start for one, next_one in pairwise(hours.years))
    # Ordinary work alone takes 1,300; every other kind comes on top.
    assert all(year.needed.p10 >= 1300.0 for year in hours.years)
    for year in hours.years:
        assert year.needed.p10 <= year.needed.p50 <= year.needed.p90
        assert 0.0 <= year.worth.p10 <= year.worth.p50 <= year.worth.p90
        assert (year.short > 0.1) == (year.needed.p90 > hours.attended)
        assert year.worth.p90 > 0.0 or year.short <= 0.1
    _, table = hours_parts(answer, USD)
    assert isinstance(table, Table)
    assert len(table.rows) == 8
    assert all(len(row) == len(HEADS) for row in table.rows)


def test_an_hour_is_worth_no_more_than_one_beyond_costs() -> None:
    answer = told(demo(attended=1000.0, beyond=9.0))
    assert answer.hours is not None
    assert all(year.worth.p90 == 9.0 and year.short == 1.0 for year in answer.hours.years)
    first = hours_parts(answer, USD)[0]
    assert isinstance(first, Paragraph)
    assert first.text.startswith("Hours: 1,000 attended hours a year; one more costs 9 USD.")


def test_enough_hours_are_said_to_be_enough() -> None:
    answer = told(demo(attended=8000.0))
    first = hours_parts(answer, USD)[0]
    assert isinstance(first, Paragraph)
    assert "are enough for all the work in every future" in first.text


def test_clusters_valued_apart_are_said_to_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)
    assert Paragraph(APART) in hours_parts(told(demo()), USD)


def test_the_chart_has_a_row_a_year() -> None:
    rows = hour_rows(told(demo()))
    assert [row["year"] for row in rows] == list(range(1, 9))
    for drawn in (needed_chart(rows), worth_chart(rows, currency="USD")):
        (values,) = drawn.to_dict()["datasets"].values()
        assert [row["year"] for row in values] == [row["year"] for row in rows]


def test_hours_are_written_and_read_again(tmp_path: Path) -> None:
    case = demo(beyond=45.0)
    write_new_case(case, tmp_path / "second-mill")
    again = read_case(tmp_path / "second-mill")
    assert again.hours == Hours(attended=1500.0, beyond=45.0)
    assert again.growth.stream == case.growth.stream
