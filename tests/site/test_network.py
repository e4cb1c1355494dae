from itertools import combinations, pairwise, permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from optioneer.site.calendar import Calendar
from optioneer.site.network import (
    Arc,
    CycleError,
    Network,
    backward,
    driving,
    float_days,
    forward,
    in_turn,
    pert_quantile,
)

Floats = NDArray[np.float64]
EVERY_DAY = Calendar(np.ones(400, dtype=np.bool_))
WEEKDAYS = Calendar(np.array([day % 7 < 5 for day in range(1500)]))


def network(count: int, arcs: list[Arc], calendar: Calendar = EVERY_DAY) -> Network:
    return Network((False,) * count, tuple(arcs), (0.0,) * count, calendar)


def column(*days: float) -> Floats:
    return np.array(days, dtype=np.float64)[:, None]


def test_tasks_that_wait_for_each_other_are_named() -> None:
    with pytest.raises(CycleError) as caught:
        _ = network(3, [Arc(0, 1), Arc(1, 2), Arc(2, 1)]).order
    assert set(caught.value.ring) == {1, 2}


def test_transport_runs_over_the_weekend_and_rigging_waits_for_monday() -> None:
    tasks = Network((True, False), (Arc(0, 1),), (0.0, 0.0), WEEKDAYS)
    starts, finishes = forward(tasks, column(5.0, 1.0))
    assert starts[1, 0] == pytest.approx(7.0)
    assert finishes[1, 0] == pytest.approx(8.0)


def test_a_lag_counts_calendar_days() -> None:
    starts, _ = forward(network(2, [Arc(0, 1, 7.0)], WEEKDAYS), column(1.0, 1.0))
    assert starts[1, 0] == pytest.approx(8.0)


def test_a_task_does_not_start_before_its_release() -> None:
    tasks = Network((False,), (), (3.0,), EVERY_DAY)
    assert forward(tasks, column(1.0))[0][0, 0] == pytest.approx(3.0)


def test_a_limit_already_missed_gives_negative_float() -> None:
    tasks = network(2, [Arc(0, 1)])
    days = column(3.0, 2.0)
    early, _ = forward(Network((False,) * 2, (Arc(0, 1),), (10.0, 10.0), EVERY_DAY), days)
    late, _ = backward(tasks, days, np.array([[np.inf], [14.0]]))
    assert float_days(tasks, early, late)[:, 0] == pytest.approx([-1.0, -1.0])


@st.composite
def networks(draw: st.DrawFn, most: int = 7) -> tuple[int, list[Arc], list[float]]:
    count = draw(st.integers(2, most))
    pairs = list(combinations(range(count), 2))
    arcs = [Arc(*pair) for pair in draw(st.lists(st.sampled_from(pairs), unique=True))]
    return count, arcs, draw(st.lists(st.integers(0, 5), min_size=count, max_size=count))


def paths(count: int, arcs: list[Arc], task: int) -> list[list[int]]:
    followers = [arc.after for arc in arcs if arc.before == task]
    longer = [[task, *path] for after in followers for path in paths(count, arcs, after)]
    return longer or [[task]]


@settings(max_examples=100, deadline=None)
@given(networks())
def test_dates_equal_the_longest_of_all_paths(case: tuple[int, list[Arc], list[float]]) -> None:
    count, arcs, lengths = case
    tasks, days = network(count, arcs), column(*lengths)
    every = [path for task in range(count) for path in paths(count, arcs, task)]
    total = max(sum(lengths[task] for task in path) for path in every)
    dates = forward(tasks, days)
    assert dates[1].max() == pytest.approx(total)
    late, _ = backward(tasks, days, np.full((count, 1), float(total)))
    through = [max(sum(lengths[t] for t in p) for p in every if task in p) for task in range(count)]
    # Paths from any task on, not only from the first ones: take the longest one through each.
    floats = float_days(tasks, dates[0], late)[:, 0]
    assert floats == pytest.approx([total - length for length in through])
    ends = [task for task in range(count) if dates[1][task, 0] >= total - 1e-9]
    drives = np.any([driving(tasks, days, dates, end)[:, 0] for end in ends], axis=0)
    assert [task for task in range(count) if drives[task]] == [
        task for task in range(count) if floats[task] == pytest.approx(0)
    ]


def test_what_ends_on_a_day_off_is_not_critical_before_work_that_waits_for_monday() -> None:
    """Transport of five days from Monday ends on Saturday; the work after it starts on Monday."""
    tasks = Network((True, False), (Arc(0, 1),), (0.0, 0.0), WEEKDAYS)
    days = column(5.5, 1.0)
    dates = forward(tasks, days)
    assert dates[0][1, 0] == 7
    assert driving(tasks, days, dates, 1)[:, 0].tolist() == [False, True]


def test_work_that_ends_on_friday_evening_is_critical_before_work_on_monday() -> None:
    tasks = network(2, [Arc(0, 1)], WEEKDAYS)
    days = column(5.0, 1.0)
    dates = forward(tasks, days)
    assert driving(tasks, days, dates, 1)[:, 0].all()


@st.composite
def dated_networks(draw: st.DrawFn) -> tuple[Network, Floats]:
    count, arcs, lengths = draw(networks())
    elapsed = draw(st.lists(st.booleans(), min_size=count, max_size=count))
    halves = draw(st.lists(st.sampled_from([0.0, 0.5]), min_size=count, max_size=count))
    days = column(*(length + half for length, half in zip(lengths, halves, strict=True)))
    return Network(tuple(elapsed), tuple(arcs), (0.0,) * count, WEEKDAYS), days


@settings(max_examples=300, deadline=None)
@given(dated_networks())
def test_critical_means_no_float_and_a_working_day_longer_makes_the_end_later(
    case: tuple[Network, Floats],
) -> None:
    tasks, days = case
    dates = forward(tasks, days)
    end = int(dates[1].argmax())
    latest = np.full(days.shape, dates[1].max())
    late, _ = backward(tasks, days, latest)
    floats = float_days(tasks, dates[0], late)[:, 0]
    drives = driving(tasks, days, dates, end)[:, 0]
    assert all(floats[task] == 0 for task in np.flatnonzero(drives))
    for task in np.flatnonzero(drives):
        # A week longer covers any days off that the task may end on.
        longer = days + column(*(7.0 * (other == task) for other in range(len(days))))
        assert forward(tasks, longer)[1][end, 0] > dates[1][end, 0]


def best_of_all_sequences(case: tuple[int, list[Arc], list[float]], group: list[int]) -> float:
    count, arcs, lengths = case
    found = []
    for order in permutations(group):
        turns = [Arc(one, two) for one, two in pairwise(order)]
        try:
            _, finishes = forward(network(count, [*arcs, *turns]), column(*lengths))
        except CycleError:
            continue
        found.append(float(finishes.max()))
    return min(found)


@settings(max_examples=60, deadline=None)
@given(networks(6), st.data())
def test_trades_in_turn_are_as_good_as_every_sequence(
    case: tuple[int, list[Arc], list[float]], data: st.DataObject
) -> None:
    count, arcs, lengths = case
    busy = [task for task in range(count) if lengths[task] > 0]
    group = data.draw(st.lists(st.sampled_from(busy or [0]), unique=True, min_size=1, max_size=5))
    last = count
    ended = [*arcs, *(Arc(task, last) for task in range(count))]
    tasks, days = network(count + 1, ended), column(*lengths, 0)
    turns, proven = in_turn(tasks, days, groups=[group], ends=[last])
    assert proven
    _, finishes = forward(tasks.also(turns), days)
    assert finishes[last, 0] == pytest.approx(best_of_all_sequences(case, group))


def test_a_search_cut_short_says_that_its_order_is_not_proven() -> None:
    tasks, days = network(6, []), column(*[1.0] * 6)
    _, proven = in_turn(tasks, days, groups=[range(6)], ends=[5], most_nodes=3)
    assert not proven


@settings(max_examples=40, deadline=None)
@given(networks(6), st.integers(0, 2**32 - 1), st.lists(st.booleans(), min_size=6, max_size=6))
def test_every_run_keeps_calendar_order_and_trades(
    case: tuple[int, list[Arc], list[float]], seed: int, elapsed: list[bool]
) -> None:
    count, arcs, lengths = case
    busy = [task for task in range(count) if lengths[task] > 0]
    tasks = Network(tuple(elapsed[:count]), tuple(arcs), (0.0,) * count, WEEKDAYS)
    group = [task for task in busy if not elapsed[task]]
    turns, _ = in_turn(tasks, column(*lengths), groups=[group], ends=[count - 1])
    likely = column(*lengths)
    share = np.random.default_rng(seed).random((count, 20))
    days = pert_quantile(share, likely / 2, likely, likely * 3)
    starts, finishes = forward(tasks.also(turns), days)
    for arc in arcs:
        assert np.all(starts[arc.after] >= finishes[arc.before] - 1e-5)
    for one, other in combinations(group, 2):
        apart = np.minimum(finishes[one], finishes[other]) - np.maximum(starts[one], starts[other])
        assert np.all(apart <= 1e-5)
    for task in group:
        assert np.all(starts[task] % 7 < 5)
        worked = np.array(
            [_worked(*span) for span in zip(starts[task], finishes[task], strict=True)]
        )
        assert worked == pytest.approx(days[task], abs=1e-4)


def _worked(start: float, finish: float) -> float:
    """Weekday time between two instants, walked day by day."""
    days = range(int(start), int(np.ceil(finish)))
    return sum(min(finish, day + 1) - max(start, day) for day in days if day % 7 < 5)
