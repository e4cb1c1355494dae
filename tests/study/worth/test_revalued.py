"""A changed figure valued in the pieces that it touches costs what the whole changed case costs."""

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.changes import Asked, Figure, with_changes
from optioneer.study.worth.revalued import pieces_of
from optioneer.study.worth.valued import valued
from tests.oracle import cases

CHANGED = {
    "nudge": (cases.driven, Figure("nudge", "automation"), 0.7),
    "chance": (cases.waiting, Figure("chance", "work"), 0.6),
    "margin": (cases.prepared, Figure("margin", "lights-out"), 45e3),
    "multiplier": (cases.shared_visit, Figure("multiplier", "a"), 1.4),
    "price": (cases.waiting, Figure("price", "probe"), 11e3),
    "later-price": (cases.waiting, Figure("later-price", "probe"), 31e3),
    "discount-rate": (cases.left_off, Figure("discount-rate"), 0.03),
    "horizon": (cases.prepared, Figure("horizon"), 9.0),
}


def few(case: Case) -> Case:
    return with_draws(case, 256)


@pytest.mark.parametrize("name", CHANGED)
def test_each_piece_costs_what_it_does_in_the_changed_case(name: str) -> None:
    make, figure, value = CHANGED[name]
    pieces = pieces_of(few(make()))
    whole = valued(with_changes(few(make()), [Asked(figure, value)])[0])
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
    pieces, whole = pieces_of(case), valued(changed)
    assert pieces.means(0, changes) == pytest.approx(whole.means[0], rel=1e-9)
    assert pieces.means(1, changes) == pytest.approx([whole.constant.mean()], rel=1e-9)


def test_what_a_figure_does_not_touch_stays() -> None:
    case = few(cases.shared_visit("default"))
    pieces = pieces_of(case)
    figure = Figure("margin", "work-a")
    (touched,) = pieces.touched(figure)
    assert pieces.count == 3
    assert pieces.touched(Figure("discount-rate")) == {0, 1, 2}
    for piece in range(3):
        same = np.array_equal(pieces.means(piece, {figure: 5e3}), pieces.means(piece, {}))
        assert same == (piece != touched)
