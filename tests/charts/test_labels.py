"""Names of any length in any script on the edge of a chart."""

from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest
import regex
from altair.utils import schemapi
from hypothesis import example, given, settings
from hypothesis import strategies as st

from optioneer.charts import gantt, image, otherwise_chart, ranges_chart, shares_chart, spread_chart
from optioneer.charts.labels import FULL, MOST, short_label, short_labels, with_labels
from optioneer.charts.screen import turning_chart

PARTS = st.sampled_from(
    [
        *(
            "a",
            "W",
            " ",
            "i",
            "\u0301",
            "\u6a5f",
            "\U00020bb7",
            "\U0001f600",
            "\U0001f1e9\U0001f1ea",
        ),
        "\U0001f468\u200d\U0001f469\u200d\U0001f467",
        *("\u05d0", "\u0e01\u0e33", "\u200d", "\ufe0f", "\U000e0041"),
    ]
)
NAMES = st.lists(PARTS, min_size=1, max_size=150).map("".join) | st.text(min_size=1, max_size=200)
RARE = ("\U0001f600", "\U00020bb7")
"""An emoji and a rare ideograph: two halves each in the drawing library's texts."""

CUT_IN_TWO = [f"{'m' * before}{rare}{'m' * 120}" for rare in RARE for before in range(15, 60)]
"""Long names with such a character at every place where a label can end."""


@pytest.fixture(scope="module", autouse=True)
def charts_are_held_to_their_schema_once() -> Iterator[None]:
    """As `image` does, the whole chart; not every part of it as well when it is made."""
    with schemapi.debug_mode(False):
        yield


@settings(deadline=None)
@given(NAMES)
def test_a_label_is_the_beginning_of_the_name_cut_between_graphemes(name: str) -> None:
    label = short_label(name)
    if label != name:
        graphemes = regex.findall(r"\X", name)
        beginnings = {"".join(graphemes[:count]) for count in range(len(graphemes))}
        assert label.removesuffix("…") in beginnings
        assert len(regex.findall(r"\X", label)) <= MOST
    label.encode("utf-8")


@settings(deadline=None)
@given(st.lists(NAMES, max_size=8), st.integers(8, MOST))
def test_every_name_has_a_label_of_its_own(names: list[str], most: int) -> None:
    labels = short_labels(names, most)
    assert set(labels) == set(names)
    assert len(set(labels.values())) == len(set(names))


def test_names_that_differ_late_are_told_apart_and_stay_whole_beside() -> None:
    names = ["tool " * 20 + end for end in ("left", "right", "left")]
    rows = with_labels([{"option": name} for name in names], "option")
    assert rows[0]["option"] == rows[2]["option"] != rows[1]["option"]
    assert rows[1]["option"].endswith(" (2)")
    assert [row[FULL] for row in rows] == names


def charts_of(names: list[str]) -> dict[str, Any]:
    costs = [{"option": n, "cost": 3.0, "low": 1.0, "high": 4.0} for n in names]
    packages = [{"package": n, "p10": 1.0, "p90": 3.0, "mean": 2.0, "worst": 4.0} for n in names]
    figures = [
        {"figure": n, "end": end, "cost": cost, "value": n}
        for n in names
        for end, cost in (("low", 1.0), ("high", 3.0))
    ]
    shares = [{"figure": n, "alone": 0.1, "total": 0.2, "least": 0.1, "most": 0.3} for n in names]
    day = {"start": "2027-01-01", "finish": "2027-02-01", "latest": "2027-03-01"}
    tasks = [{"task": n, **day, "book": "2026-12-01", "kind": "critical"} for n in names]
    cells = [{"option": n, "at": "1", "verdict": "leave off", "sign": "o"} for n in names]
    return {
        "otherwise": otherwise_chart(costs, currency="EUR"),
        "spread": spread_chart(packages, currency="EUR"),
        "ranges": ranges_chart(figures, 2.0, currency="EUR"),
        "shares": shares_chart(shares),
        "gantt": gantt(tasks, [{"day": "2027-01-05", "mark": names[0]}], title=names[0]),
        "turning": turning_chart(cells, order=["1"], here="1", along=names[0]),
    }


CHARTS = ("otherwise", "spread", "ranges", "shares", "gantt", "turning")


def test_every_chart_is_among_those() -> None:
    assert tuple(charts_of(["a"])) == CHARTS


@cache
def charts_of_cut_in_two() -> dict[str, Any]:
    return charts_of(CUT_IN_TWO)


@pytest.mark.parametrize("chart", CHARTS)
def test_a_character_outside_the_basic_plane_is_never_cut_in_two(chart: str) -> None:
    assert image(charts_of_cut_in_two()[chart], "svg").startswith(b"<svg")


@pytest.mark.parametrize("character", ["\ufffe", "\uffff", "\x0f"])
def test_a_character_that_no_drawing_can_hold_is_left_out(character: str) -> None:
    assert image(charts_of([f"probe{character}"])["otherwise"], "svg").startswith(b"<svg")


@settings(max_examples=15, deadline=None)
@example(names=["\n"])
@example(names=["ends in \\", '\\"+1+"'])
@given(names=st.lists(NAMES, min_size=1, max_size=6))
def test_every_name_can_be_drawn(names: list[str]) -> None:
    for chart in charts_of(names).values():
        assert image(chart, "svg").startswith(b"<svg")
