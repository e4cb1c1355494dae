"""The numbers that the learned rule looks at, each worked out again on its own."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.growth import Driver
from optioneer.model.machine import Bundle, Hours
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.hours import HoursSeen
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.signals import (
    ABSENCE_DOUBT,
    ENDING_DOUBT,
    KNEES,
    OTHER_DOUBT,
    Signals,
)
from tests.oracle.cases import between, case_of, option, stream
from tests.valuation.engine import engine, futures

COUNT = 24


def plain(**more: object) -> Case:
    """Two kinds of work that one option does, with certain margins that last."""
    streams = [
        stream("a", between(0.0, 1.0, 3.0), 30e3, ["probe"], chance=0.6, **more),
        stream("b", between(0.0, 1.0, 4.0), 20e3, ["probe"], chance=0.7),
    ]
    clock = {"horizon_years": 3.0, "periods_per_year": 2, "driver": (Driver(id="boom"),)}
    return case_of([option("probe", 10e3, 1.3)], streams, growth=clock)


def unsure() -> Case:
    """The same for an option whose multiplier is unsure."""
    probe = option("probe", 10e3, 1.3).model_copy(update={"multiplier": between(1.0, 1.5, 2.6)})
    case = plain()
    return case.model_copy(
        update={"catalogue": case.catalogue.model_copy(update={"options": (probe,)})}
    )


def crowded() -> Case:
    """The same where the first kind of work takes hours of which there are few."""
    return plain(hours=500.0).model_copy(update={"hours": Hours(attended=400.0, beyond=30.0)})


def driven_too(case: Case) -> Case:
    """The same where all work hangs on the driver."""
    streams = tuple(s.model_copy(update={"drivers": {"boom": 0.5}}) for s in case.growth.stream)
    return case.model_copy(update={"growth": case.growth.model_copy(update={"stream": streams})})


MADE: dict[str, Callable[[], Case]] = {
    "certain": plain,
    "driven": lambda: plain(drivers={"boom": 0.7}),
    "both driven": lambda: driven_too(plain(drivers={"boom": 0.7})),
    "ending": lambda: plain(lasts_years=1.0),
    "may end": lambda: plain(lasts_years=between(0.5, 1.0, 2.0)),
    "swinging": lambda: plain(swing=0.3),
    "unsure price": unsure,
}


def seen(case: Case) -> tuple[Signals, View]:
    problem = problem_of(case)
    made = engine(case, futures(problem, COUNT), lessons=64)
    (lattice,) = problem.lattices
    return Signals(lattice, problem.growth, problem.timeline), made.view(lattice)


Numbers = list[tuple[float, Floats]]
"""Numbers one after the other, each with how much it is doubted."""


def by_hand(signals: Signals, view: View, t: int) -> Numbers:
    """Every number at the start of a period."""
    now, growth = range(t, t + 1), signals.growth
    absent = (view.arrival > t).astype(np.float64)
    worth = growth.margin[signals.lattice.streams].mean(axis=1) * signals.timeline.annuity[0]
    left = view.remaining(view.known_level(now), now, 1) / np.maximum(worth, 1.0)[:, None]
    ends = [growth.life_range(k) is not None or growth.life[k] < 6 for k in range(2)]
    rows: Numbers = []
    for row in np.flatnonzero(growth.swing[:2] > 0):
        curves = [left[row] / (left[row] + knee) for knee in KNEES]
        rows += [(ABSENCE_DOUBT, each) for each in (1.0 - absent[row], left[row], *curves)]
    rows += [(ABSENCE_DOUBT, each) for each in (absent[0], absent[1], absent[0] * absent[1])]
    for row in np.flatnonzero(ends):
        powers = ((left[row] > 0.0) * 1.0, left[row], left[row] ** 2)
        rows += [(ENDING_DOUBT, each) for each in powers]
    rows += [(ENDING_DOUBT, left[0] * left[1])] if any(ends) else []
    for here, away in ((0, 1), (1, 0)):
        if ends[here] or growth.swing[here] > 0:
            x = left[here] * absent[away]
            rows += [(OTHER_DOUBT, x), (OTHER_DOUBT, x * left[here])]
    return [*rows, *of_drivers(signals, view, now), *of_multipliers(signals, view, absent)]


def of_drivers(signals: Signals, view: View, now: range) -> Numbers:
    outlook, absent = view.outlook(now), view.absent(now)
    if outlook is None:
        return []
    told = np.flatnonzero(signals.growth.loadings[:2].any(axis=1))
    powers = [absent[row] * outlook[row] ** power for row in told for power in (1, 2)]
    return [(OTHER_DOUBT, each) for each in powers]


def of_multipliers(signals: Signals, view: View, absent: Floats) -> Numbers:
    rows: Numbers = []
    for target, (multiplier, _) in zip(signals.lattice.targets, view.multipliers, strict=True):
        if target.bounds[0] < target.bounds[2]:
            spread = multiplier - target.bounds.mean()
            rows += [(OTHER_DOUBT, spread * absent[0]), (OTHER_DOUBT, spread * absent[1])]
    return rows


@pytest.mark.parametrize("name", MADE)
def test_every_number_is_what_it_is_said_to_be(name: str) -> None:
    signals, view = seen(MADE[name]())
    for t in (1, 3):
        now = range(t, t + 1)
        doubts, expected = zip(*by_hand(signals, view, t), strict=True)
        found = signals.at(view, now, view.known_level(now))
        assert found == pytest.approx(np.stack(expected), abs=1e-12)
        assert signals.doubt(np.ones((1, len(found))))[0].tolist() == list(doubts)


@pytest.mark.parametrize("name", MADE)
def test_several_periods_at_once_are_each_of_them(name: str) -> None:
    signals, view = seen(MADE[name]())
    periods = range(1, 4)
    many = signals.at(view, periods, view.known_level(periods))
    single = [signals.at(view, range(t, t + 1), view.known_level(range(t, t + 1))) for t in periods]
    assert many == pytest.approx(np.concatenate(single, axis=1), abs=1e-12)


def test_where_hours_are_shared_what_is_left_and_the_price_of_an_hour_are_looked_at_too() -> None:
    signals, view = seen(crowded())
    without = by_hand(signals, view, 2)
    price = np.arange(6.0)[:, None] + np.linspace(1.0, 2.0, COUNT)
    priced = replace(view, hours=HoursSeen(view.hours.attendance, price))  # type: ignore[union-attr]
    known = view.known_level(range(2, 3))
    (taking,) = (k for k, each in enumerate(view.lattice.streams) if each == 0)
    alone, told = (signals.at(each, range(2, 3), known) for each in (view, priced))
    left = view.remaining(known, range(2, 3), 1)[taking] / (30e3 * signals.timeline.annuity[0])
    assert alone[len(without) :] == pytest.approx(np.stack([np.ones(COUNT), left]))
    away = (view.arrival[taking] > 2) * 1.0
    expected = np.stack([np.ones(COUNT), left, price[2], price[2] * away])
    assert told[len(without) :] == pytest.approx(expected)


def test_kinds_of_work_are_looked_at_in_pairs_where_one_slot_serves_both() -> None:
    bundle = Bundle(id="both", options=("one", "other"), discount=1e3)
    options = [option("one", 10e3, 1.3), option("other", 8e3, 1.3)]
    work = [stream(name, between(0.0, 1.0, 3.0), 30e3, [name]) for name in ("one", "other")]
    apart, _ = seen(case_of(options, work, bundles=(bundle,)))
    assert len(apart.lattice.streams) == 2
    assert apart.pairs == ()
    together, _ = seen(plain())
    assert together.pairs == ((0, 1),)
