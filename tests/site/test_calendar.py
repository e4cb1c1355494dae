import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.site.calendar import Calendar, CalendarEndError

WEEKS = Calendar(np.array([day % 7 < 5 for day in range(70)]))  # day 0 is a Monday


def at(value: float) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    return np.array([value])


def test_two_days_of_work_from_friday_end_on_monday_evening() -> None:
    assert WEEKS.finish(at(4.0), at(2.0)) == pytest.approx(8.0)


def test_work_ready_on_saturday_starts_on_monday() -> None:
    assert WEEKS.start(at(5.3), at(1.0)) == pytest.approx(7.0)


def test_no_work_happens_at_once_even_on_a_saturday() -> None:
    assert WEEKS.start(at(5.3), at(0.0)) == pytest.approx(5.3)
    assert WEEKS.finish(at(5.3), at(0.0)) == pytest.approx(5.3)


def test_a_day_of_work_due_on_sunday_starts_on_friday_morning_at_the_latest() -> None:
    assert WEEKS.latest_start(at(6.5), at(1.0)) == pytest.approx(4.0)


def test_three_thirds_of_a_day_end_with_the_day() -> None:
    now = at(0.0)
    for _ in range(3):
        now = WEEKS.finish(now, at(1 / 3))
    assert now == pytest.approx(1.0, abs=1e-9)


def test_work_beyond_the_calendar_is_an_error_not_a_guess() -> None:
    with pytest.raises(CalendarEndError):
        WEEKS.finish(at(60.0), at(30.0))
    with pytest.raises(CalendarEndError):
        WEEKS.latest_start(at(3.0), at(4.0))


@given(
    st.lists(st.booleans(), min_size=30, max_size=60).filter(lambda days: sum(days) > 12),
    st.floats(0, 9.99),
    st.floats(0.01, 5),
)
def test_a_latest_start_leaves_exactly_the_work_asked_for(
    mask: list[bool], ready: float, days: float
) -> None:
    calendar = Calendar(np.array([*mask, *[True] * 20]))
    finish = calendar.finish(calendar.start(at(ready), at(days)), at(days))
    latest = calendar.latest_start(finish, at(days))
    assert latest[0] >= calendar.start(at(ready), at(days))[0] - 1e-5
    assert calendar.finish(latest, at(days)) == pytest.approx(finish[0], abs=1e-5)


@pytest.mark.parametrize("instant", [70.0, 70.5, 71.0, -0.5])
def test_no_instant_outside_the_calendar_has_work_before_it(instant: float) -> None:
    assert WEEKS.work_before(at(69.999)) == pytest.approx(50.0)
    with pytest.raises(CalendarEndError):
        WEEKS.work_before(at(instant))
