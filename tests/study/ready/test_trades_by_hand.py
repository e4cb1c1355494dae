"""Who comes, how often, when and for how much: trades, crew and suppliers worked by hand."""

from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest

from optioneer.model.machine import Package
from optioneer.study.ready.answers import Purchase, Readiness
from optioneer.study.ready.ready import readiness
from tests.study.ready.sites import case, certain

ITEMS: list[dict[str, Any]] = [
    {"id": k, "on": [k], "to": [f"{k}2"], "crew_hours": (8.0, 8.0, 8.0), "trades": trades}
    for k, trades in [("lathe", ["electrician"]), ("rack", []), ("saw", ["electrician"])]
]
SITE: dict[str, Any] = {
    "crew": {"hours_per_day": 8.0, "cost_per_hour": 45.0},
    "item": ITEMS,
    "shop": {"machine_on": ["lathe", "rack", "saw"]},
    "trade": [
        {"id": "rigger", "notice_days": 21.0, "per_visit": 900.0, "per_day": 1000.0},
        {"id": "electrician", "notice_days": 7.0, "per_visit": 100.0, "supplier": "volt"},
        {"id": "pipefitter", "per_day": 640.0, "quoted": True},
    ],
    "supplier": [{"id": "volt", "name": "Volt & Son", "deposit": 0.5, "net_days": 14}],
    "task": [
        *certain(rigging=2, tie_in=1, commissioning=1, acceptance=1, training=1, first_article=1),
        *certain(drawing=0, electrical_design=0, wiring=3, air_line=2.5),
    ],
    "plan": {"runs": 100},
}


def told(**more: Any) -> Readiness:
    return readiness(case({**SITE, **more}), Package(id="base"))


def trades(answer: Readiness) -> dict[str, Purchase]:
    return {purchase.id: purchase for purchase in answer.purchases}


def test_visits_and_days_of_each_trade() -> None:
    found = trades(told())
    # The electrician: wiring, tie-in, and the moves of lathe and saw, which neighbour each other.
    assert found["electrician"].what == "electrician: 3 visits, 6.0 days"
    assert found["rigger"].what == "rigger: 1 visit, 2.0 days"
    assert found["pipefitter"].what == "pipefitter: 1 visit, 2.5 days"
    assert found["electrician"].cents == 3 * 100_00
    assert found["rigger"].cents == 900_00 + 2 * 1000_00
    assert found["pipefitter"].cents == 1600_00
    assert [found[k].basis for k in ("pipefitter", "rigger")] == [
        "quote",
        "rule of thumb, replace by a quote",
    ]
    assert "service-engineer" in found
    assert (found["service-engineer"].cents, found["service-engineer"].basis) == (None, "missing")
    assert "own-crew" not in found


def test_own_people_are_paid_by_the_hour() -> None:
    answer = told()
    assert (answer.crew_hours, answer.crew_cents) == (24.0, 24 * 45_00)


def test_a_booking_is_made_with_its_notice_before_the_start() -> None:
    answer = told()
    tasks = {task.id: task for task in answer.tasks}
    notice = {"rigger": 21, "electrician": 7}
    for booking in answer.bookings:
        task = tasks[booking.task]
        assert booking.wanted_on == task.planned_start
        if booking.trade in notice:
            days = timedelta(notice[booking.trade])
            assert booking.book_by == task.late_start - days
            assert booking.planned_booking == task.planned_start - days
        else:
            assert booking.book_by is booking.planned_booking is None
    dated = [booking.book_by for booking in answer.bookings if booking.book_by is not None]
    assert dated == sorted(dated)
    known = len(dated)
    assert all(booking.book_by is None for booking in answer.bookings[known:])


def test_a_trade_is_bought_from_its_first_booking_to_its_last_day() -> None:
    answer = told()
    tasks = [task for task in answer.tasks if "electrician" in task.trades]
    bought = trades(answer)["electrician"]
    bookings = [b.book_by for b in answer.bookings if b.trade == "electrician"]
    assert bought.order_by == min(day for day in bookings if day)
    assert bought.arrives == min(task.late_start for task in tasks)
    assert bought.planned_order == min(task.planned_start for task in tasks)
    assert bought.planned_arrival == max(task.planned_finish for task in tasks)
    assert bought.payee == "Volt & Son"


def test_half_of_a_trades_price_goes_with_the_order_and_the_rest_when_the_term_is_over() -> None:
    answer = told()
    bought = trades(answer)["electrician"]
    paid = [(p.date, p.cents) for p in answer.payments if p.payee == "Volt & Son"]
    assert bought.planned_order is not None
    assert bought.planned_arrival is not None
    assert paid == [
        (bought.planned_order, -150_00),
        (bought.planned_arrival + timedelta(14), -150_00),
    ]
    assert answer.payments == tuple(sorted(answer.payments, key=lambda p: p.date))


@pytest.mark.parametrize("per_day", [8.0, 4.0, 3.0])
def test_a_crew_that_can_spare_fewer_hours_takes_more_days(per_day: float) -> None:
    alone = [{**item, "trades": []} for item in ITEMS]
    answer = told(crew={"hours_per_day": per_day, "cost_per_hour": 45.0}, item=alone)
    moves = [task for task in answer.tasks if task.id.startswith("move-")]
    first = min(task.early_start for task in moves)
    last = max(task.early_finish for task in moves)
    assert (len(moves), first) == (3, date(2026, 3, 2))
    assert np.busday_count(first, last + timedelta(1)) == 3 * 8 / per_day
