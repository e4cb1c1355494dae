"""A changed figure valued in the pieces that it touches costs what the whole changed case costs."""

from collections.abc import Callable

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Way
from optioneer.model.machine import Hours
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.revaluation import pieces_of
from optioneer.study.worth.valued_case import valued_case
from tests.oracle import cases


def swinging() -> Case:
    """Work that swings, for an option that can be fitted later."""
    case = cases.waiting()
    streams = tuple(each.model_copy(update={"swing": 0.3}) for each in case.growth.stream)
    return case.model_copy(update={"growth": case.growth.model_copy(update={"stream": streams})})


def told_as_ranges() -> Case:
    """A chance, a life and a stay that nobody knows."""
    case = cases.waiting()
    (work,) = case.growth.stream
    ranges = {"chance": range_of(0.3, 0.6, 0.7), "lasts_years": range_of(1.0, 2.0, 4.0)}
    growth = case.growth.model_copy(update={"stream": (work.model_copy(update=ranges),)})
    machine = case.machine.model_copy(update={"kept_years": range_of(2.0, 3.0, 4.0)})
    return case.model_copy(update={"growth": growth, "machine": machine})


def range_of(low: float, likely: float, high: float) -> Triangular:
    return Triangular(low=low, likely=likely, high=high)


def short_of_hours() -> Case:
    """Work that takes more hours than there are, some by an option that can be fitted later."""
    case = cases.waiting()
    (work,) = case.growth.stream
    ways = tuple(way.model_copy(update={"hours": 300.0}) for way in work.way)
    usual = work.model_copy(
        update={"id": "usual", "chance": 1.0, "way": (Way(options=(), share=0.9),)}
    )
    taking = (
        work.model_copy(update={"way": ways, "hours": 500.0}),
        usual.model_copy(update={"hours": 900.0}),
    )
    growth = case.growth.model_copy(update={"stream": taking})
    return case.model_copy(update={"growth": growth, "hours": Hours(attended=800.0, beyond=30.0)})


CHANGED: dict[str, tuple[Callable[[], Case], Figure, float]] = {
    "nudge": (cases.driven, Figure("nudge", "automation"), 0.7),
    "chance": (cases.waiting, Figure("chance", "work"), 0.6),
    "margin": (cases.prepared, Figure("margin", "lights-out"), 45e3),
    "multiplier": (cases.shared_visit, Figure("multiplier", "a"), 1.4),
    "price": (cases.waiting, Figure("price", "probe"), 11e3),
    "later-price": (cases.waiting, Figure("later-price", "probe"), 31e3),
    "downtime-days": (cases.waiting, Figure("downtime-days", "probe"), 3.5),
    "years": (cases.driven, Figure("years", "second"), 2.0),
    "lasts-years": (cases.waiting, Figure("lasts-years", "work"), 2.0),
    "fallback": (cases.prepared, Figure("fallback", "lights-out"), 0.35),
    "growth": (cases.prepared, Figure("growth", "lights-out"), -0.03),
    "swing": (swinging, Figure("swing", "work"), 0.45),
    "hours": (short_of_hours, Figure("hours", "work"), 650.0),
    "attended": (short_of_hours, Figure("attended"), 1000.0),
    "beyond": (short_of_hours, Figure("beyond"), 12.0),
    "kept-years": (cases.left_off, Figure("kept-years"), 2.0),
    "discount-rate": (cases.left_off, Figure("discount-rate"), 0.03),
    "horizon": (cases.prepared, Figure("horizon"), 9.0),
    "chance moved": (told_as_ranges, Figure("chance", "work"), 0.5),
    "chance known": (told_as_ranges, Figure("chance", "work", known=True), 0.5),
    "life scaled": (told_as_ranges, Figure("lasts-years", "work"), 1.5),
    "life known": (told_as_ranges, Figure("lasts-years", "work", known=True), 1.5),
    "stay scaled": (told_as_ranges, Figure("kept-years"), 2.5),
    "stay known": (told_as_ranges, Figure("kept-years", known=True), 2.5),
}


LESSONS = 1024
"""Futures from which on pieces and the whole case learn from as many: swings and hours need it."""


def few(case: Case) -> Case:
    learning = case.growth.stream[0].swing > 0.0 or case.hours is not None
    return with_draws(case, LESSONS if learning else 256)


@pytest.mark.parametrize("name", CHANGED)
def test_each_piece_costs_what_it_does_in_the_changed_case(name: str) -> None:
    make, figure, value = CHANGED[name]
    pieces = pieces_of(few(make()))
    whole = valued_case(with_changes(few(make()), [Asked(figure, value)])[0])
    found = [pieces.means(piece, {figure: value}) for piece in range(pieces.count)]
    for mean, same in zip(found, whole.means, strict=False):
        assert mean == pytest.approx(same, rel=1e-9)
    assert found[-1] == pytest.approx([whole.constant.mean()], rel=1e-12)


def test_several_figures_at_once() -> None:
    case = few(cases.driven())
    changes = {
        Figure("nudge", "automation"): -0.5,
        Figure("chance", "second"): 0.4,
        Figure("margin", "second"): 30e3,
        Figure("multiplier", "sensor"): 1.2,
        Figure("discount-rate"): 0.08,
    }
    changed, _ = with_changes(case, [Asked(figure, value) for figure, value in changes.items()])
    pieces, whole = pieces_of(case), valued_case(changed)
    assert pieces.means(0, changes) == pytest.approx(whole.means[0], rel=1e-9)
    assert pieces.means(1, changes) == pytest.approx([whole.constant.mean()], rel=1e-9)


def test_what_a_figure_does_not_touch_stays() -> None:
    case = few(cases.shared_visit("default"))
    pieces = pieces_of(case)
    figure = Figure("margin", "work-a")
    (touched,) = pieces.changed_pieces(figure)
    assert pieces.count == 3
    assert pieces.changed_pieces(Figure("discount-rate")) == {0, 1, 2}
    for piece in range(3):
        same = np.array_equal(pieces.means(piece, {figure: 5e3}), pieces.means(piece, {}))
        assert same == (piece != touched)
