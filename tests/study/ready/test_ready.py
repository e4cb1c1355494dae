from datetime import date, timedelta
from itertools import combinations
from typing import Any

import numpy as np
import pytest

from optioneer.errors import RequestError
from optioneer.model.machine import Package
from optioneer.model.works import WorkCalendar
from optioneer.study.needs.answers import Need, SiteFigure
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.answers import STANDING, Readiness, TaskDates
from optioneer.study.ready.calendar import working_days
from optioneer.study.ready.ready import fitted_options, readiness
from optioneer.study.ready.road import BEFORE_DAYS, Road
from tests.study.ready.sites import OPTIONS, POWER, case, certain, transformer

EXAMPLE: dict[str, Any] = {
    **POWER,
    "supply": [transformer(75, 5000)],
    "task": [
        *certain(drawing=0, electrical_design=0, wiring=0, air_line=0, foundation=0, cure=28),
        *certain(rigging=1, tie_in=1, commissioning=1, training=3, first_article=3),
        {"id": "acceptance", "drop": True},
    ],
    "plan": {"foundation": True, "runs": 100},
}
"""Order 2 March 2026, 16 weeks to build, 5 of transport and 1 in hand, transformer 6 weeks."""


def ready(site: dict[str, Any], *options: str, **shifts: float) -> Readiness:
    named = {key.replace("_", "-"): days for key, days in shifts.items()}
    return readiness(case(site), Package(id="asked", options=options), shifts=named)


def task(answer: Readiness, key: str) -> TaskDates:
    return next(task for task in answer.tasks if task.id == key)


def need(answer: Readiness, key: str) -> Need:
    return next(need for need in answer.needs if need.id == key)


def test_a_dated_example_worked_by_hand() -> None:
    """Synthetic, calendar arithmetic checked by hand: 22 weeks from Monday 2 March 2026."""
    answer = ready(EXAMPLE)
    assert task(answer, "build").early_finish == date(2026, 6, 22)
    assert answer.delivery == date(2026, 8, 3)
    assert task(answer, "transformer-75").late_start == date(2026, 6, 15)
    assert task(answer, "transformer-75").late_finish == date(2026, 7, 27)
    assert task(answer, "cure").late_start == date(2026, 7, 6)
    assert task(answer, "tie-in").early_start == date(2026, 8, 4)
    assert task(answer, "commissioning").early_finish == date(2026, 8, 5)
    assert task(answer, "training").early_finish == date(2026, 8, 10)
    assert task(answer, "first-article").early_start == date(2026, 8, 11)
    assert answer.planned_first_chips == date(2026, 8, 13)
    assert answer.first_chips is not None
    assert answer.first_chips.p95 == date(2026, 8, 13)
    assert answer.ready_on_delivery_chance == 1


def test_the_order_is_due_when_the_transformer_must_be_ordered() -> None:
    (bought,) = [p for p in ready(EXAMPLE).purchases if p.id == "transformer-75"]
    assert (bought.order_by, bought.arrives) == (date(2026, 6, 15), date(2026, 7, 27))
    assert bought.cents == 500_000


def test_critical_tasks_lead_from_the_order_over_the_machine_to_first_chips() -> None:
    critical = {task.id for task in ready(EXAMPLE).tasks if task.critical}
    assert critical == {
        *("order", "build", "delivery", "rigging", "tie-in", "commissioning"),
        *("training", "first-article", "first-chips"),
    }


def test_a_holiday_moves_what_would_be_done_on_it() -> None:
    site = {**EXAMPLE, "calendar": {"holiday": [date(2026, 8, 4)]}}
    assert task(ready(site), "tie-in").early_start == date(2026, 8, 5)


def test_public_holidays_of_a_country_are_days_off() -> None:
    site = {**EXAMPLE, "calendar": {"country": "US"}}
    assert task(
        readiness(case(site, ship_weeks=11.0), Package(id="base")), "rigging"
    ).early_start == date(2026, 9, 8)  # Monday 7 September 2026 is Labor Day


def test_a_working_sunday_of_a_country_is_worked() -> None:
    """4 and 18 February 2024, worked in China for Spring Festival, 10 to 17 February."""
    calendar = WorkCalendar(country="CN")
    worked = working_days(calendar, date(2024, 2, 1), 20)
    days = [day + 1 for day in range(20) if worked[day]]
    assert days == [1, 2, 4, 5, 6, 7, 8, 9, 18, 19, 20]
    off = calendar.model_copy(update={"holiday": (date(2024, 2, 18),)})
    assert not working_days(off, date(2024, 2, 18), 1)[0]


def test_an_unknown_country_is_told_in_words() -> None:
    with pytest.raises(RequestError, match="no public holidays are known for 'XX'"):
        ready({**EXAMPLE, "calendar": {"country": "XX"}})


def test_two_weeks_early_and_four_weeks_late() -> None:
    early = ready(EXAMPLE, delivery=-14)
    assert early.delivery == date(2026, 7, 20)
    plan = {"runs": 100, "order_early_days": 14.0}
    late = ready({**EXAMPLE, "plan": plan}, transformer_75=28)
    assert late.delivery == date(2026, 8, 3)
    assert task(late, "transformer-75").planned_start == date(2026, 6, 1)  # ordered as planned
    assert task(late, "transformer-75").planned_finish == date(2026, 8, 10)  # a week too late
    assert late.ready_on_delivery_chance == 0
    assert late.planned_first_chips == date(2026, 8, 20)
    assert late.expected_delay_cost == 5 * 1000


def test_days_that_come_early_earn_nothing() -> None:
    early = ready(EXAMPLE, delivery=-14)
    planned = ready(EXAMPLE).planned_first_chips
    assert early.planned_first_chips is not None
    assert planned is not None
    assert early.planned_first_chips < planned
    assert early.expected_delay_cost == 0


def test_what_delay_costs_is_the_mean_over_the_runs_that_come_late() -> None:
    tasks = [*EXAMPLE["task"], {"id": "build", "days": (80.0, 110.0, 150.0)}]
    site = {**EXAMPLE, "task": tasks, "plan": {"foundation": True, "runs": 200}}
    road = Road(case(site), bought_supplies(case(site), ()))
    planned = road.planned_first_chips
    days = [road.order_date + timedelta(int(d) - BEFORE_DAYS) for d in road.runs.first_chips_days]
    late = np.maximum(np.busday_count([planned] * 200, days), 0)
    early = np.busday_count([planned] * 200, days) < 0
    assert 20 < early.sum() < 180
    # The plan keeps parts of days, dates do not: they differ by less than one.
    assert ready(site).expected_delay_cost == pytest.approx(1000 * late.mean(), abs=600)


def test_a_shift_of_an_unknown_task_names_the_known_ones() -> None:
    with pytest.raises(
        RequestError, match=r"There is no task 'crane' to shift\. Tasks here: air-line"
    ):
        ready(EXAMPLE, crane=3)


def test_a_site_that_cannot_be_ready_in_time_says_so_with_negative_float() -> None:
    answer = ready({**EXAMPLE, "supply": [transformer(75, 5000, lead_days=(200.0,) * 3)]})
    assert answer.ready_on_delivery_chance == 0
    assert task(answer, "transformer-75").float_days < 0
    assert task(answer, "transformer-75").book_by is not None
    assert next(iter(answer.late_causes)).task == "transformer-75"


def test_every_face_says_the_three_sentences() -> None:
    assert ready(EXAMPLE).standing == STANDING
    assert len(STANDING) == 3


def test_every_result_has_formula_source_inputs_and_caution() -> None:
    answer = ready(EXAMPLE, "pump")
    results: list[Need | SiteFigure] = [*answer.needs, *answer.figures]
    for result in results:
        assert all((result.formula, result.source, result.inputs, result.caution)), result.id


def test_air_of_a_machine_is_never_assumed() -> None:
    answer = ready({**EXAMPLE, "air": {"present_l_min": 500.0}})
    found = need(answer, "compressor")
    assert (found.status, found.required, found.short) == ("missing", None, None)
    assert any("machine L/min" in line for line in answer.missing)


def test_a_price_nobody_gave_is_missing_not_nothing() -> None:
    answer = ready({**EXAMPLE, "supply": [transformer(75, None)]})  # type: ignore[arg-type] # none
    bought = next(p for p in answer.purchases if p.id == "transformer-75")
    assert (bought.cents, bought.basis) == (None, "missing")
    assert "75 kVA: price" in answer.missing


def test_a_transformer_that_nobody_listed_is_asked_for_by_its_standard_size() -> None:
    answer = ready({**EXAMPLE, "supply": []})
    bought = next(p for p in answer.purchases if p.id == "transformer-not-listed")
    assert bought.what.startswith("transformer of 75 or more")
    assert bought.order_by is None


def test_a_transformer_on_hand_is_used() -> None:
    on_hand = {"transformer": [{"kva": 75.0, "primary_v": 480.0, "secondary_v": 400.0}]}
    assert need(ready({**EXAMPLE, **on_hand}), "transformer").status == "ok"
    assert "transformer-75" not in {p.id for p in ready({**EXAMPLE, **on_hand}).purchases}
    assert need(ready({**EXAMPLE, **on_hand}, "pump", "chiller"), "transformer").short == 37.5


def test_the_machine_hangs_on_a_supply_within_ten_percent() -> None:
    answer = ready({**EXAMPLE, "shop": {"supply_v": 416.0}})
    assert need(answer, "voltage").status == "ok"
    assert {"transformer"}.isdisjoint(n.id for n in answer.needs)


def test_air_of_22_and_12_cfm_and_ten_percent_leaks_is_tight_at_88_percent() -> None:
    """Synthetic: 35.2 of 40 cfm."""
    site = {
        "needs": {"air_l_min": "12 cfm"},
        "air": {
            "present_l_min": "22 cfm",
            "compressor": [{"id": "screw", "delivery_l_min": "40 cfm"}],
        },
        "plan": {"runs": 100},
    }
    found = need(ready(site), "compressor")
    assert found.required is not None
    assert found.available is not None
    assert found.required / found.available == pytest.approx(0.88)
    assert found.status == "tight"


def test_moves_in_a_ring_are_told_and_done_with_one_parking() -> None:
    site = {
        "shop": {"parking": ["yard"], "machine_on": ["d"]},
        "crew": {"hours_per_day": 4.0, "cost_per_hour": 40.0},
        "item": [
            {"id": "lathe", "on": ["a"], "to": ["b"], "crew_hours": (8.0, 8.0, 8.0)},
            {"id": "saw", "on": ["b"], "to": ["a"], "crew_hours": (2.0, 2.0, 2.0)},
        ],
        "plan": {"runs": 100},
    }
    answer = ready(site)
    assert answer.rings == (("lathe", "saw"),)
    dumped = [move.model_dump(by_alias=True) for move in answer.moves]
    assert dumped == [
        {"step": 1, "item": "saw", "from": "b", "to": "yard", "parked": True},
        {"step": 2, "item": "lathe", "from": "a", "to": "b", "parked": False},
        {"step": 3, "item": "saw", "from": "yard", "to": "a", "parked": False},
    ]
    assert (answer.crew_hours, answer.crew_cents) == (12, 48_000)
    finished = task(answer, "move-3-saw").early_finish
    assert finished == date(2026, 3, 4)  # twelve hours at four a day, from 2 March


def test_without_a_parking_a_ring_has_no_order() -> None:
    swap = [
        {"id": "lathe", "on": ["a"], "to": ["b"], "crew_hours": (8.0, 8.0, 8.0)},
        {"id": "saw", "on": ["b"], "to": ["a"], "crew_hours": (2.0, 2.0, 2.0)},
    ]
    with pytest.raises(RequestError, match=r"wait for each other in a ring \(lathe, saw\)"):
        ready({"crew": {"hours_per_day": 4.0}, "item": swap})


def test_tasks_in_a_ring_are_named() -> None:
    tasks = [{"id": "a", "after": ["b"]}, {"id": "b", "after": ["a"]}]
    with pytest.raises(RequestError, match="wait for each other in a ring: "):
        ready({"task": tasks})


def test_a_task_of_the_own_crew_that_names_it_among_its_trades_waits_for_nobody() -> None:
    crew = {"hours_per_day": 4.0}
    once = {"id": "a", "crew_hours": [8.0, 8.0, 8.0]}
    named = {**once, "trades": ["own-crew"]}
    days = [task(ready({"crew": crew, "task": [one]}), "a").early_finish for one in (once, named)]
    assert days[0] == days[1]


def test_work_that_would_have_to_begin_before_any_calendar_is_told() -> None:
    item = {"id": "saw", "on": ["a"], "to": ["b"], "crew_hours": (10.0, 20.0, 30.0)}
    site = {"shop": {"machine_on": ["a"]}, "crew": {"hours_per_day": 0.01}, "item": [item]}
    with pytest.raises(RequestError, match="too few working days for what must be done before"):
        ready(site)


def test_a_task_after_something_unknown_is_told() -> None:
    with pytest.raises(RequestError, match="task 'a': there is no task or supply 'b'"):
        ready({"task": [{"id": "a", "after": ["b"]}]})


def test_who_waited_for_a_dropped_task_waits_for_what_it_waited_for() -> None:
    answer = ready({**EXAMPLE, "task": [{"id": "electrical-design", "drop": True}]})
    assert task(answer, "transformer-75").early_start == date(2026, 3, 23)  # after the drawing


def test_trades_are_booked_by_their_notice_before_the_latest_start() -> None:
    trades = [{"id": "rigger", "notice_days": 21.0, "per_visit": 3000.0}]
    answer = ready({**EXAMPLE, "trade": trades})
    (booking,) = [b for b in answer.bookings if b.trade == "rigger"]
    assert booking.book_by == date(2026, 7, 13)  # three weeks before 3 August
    (rigger,) = [p for p in answer.purchases if p.id == "rigger"]
    assert rigger.cents == 300_000
    assert all(b.book_by is None for b in answer.bookings if b.trade == "electrician")


def test_suppliers_are_paid_on_their_terms_to_the_cent() -> None:
    site = {
        **EXAMPLE,
        "supply": [transformer(75, 5000.01, supplier="wholesale")],
        "supplier": [{"id": "wholesale", "deposit": 0.3, "net_days": 30}],
        "plan": {"runs": 100, "order_early_days": 0.0},
    }
    paid = [(p.date, p.cents) for p in ready(site).payments]
    assert paid == [(date(2026, 6, 15), -150_000), (date(2026, 8, 26), -350_001)]


def test_every_simulated_run_keeps_trades_calendar_and_waiting() -> None:
    site = {
        **POWER,
        "supply": [transformer(75, 5000, lead_days=(20.0, 42.0, 90.0))],
        "crew": {"hours_per_day": 3.0},
        "calendar": {"country": "US", "weekdays": ["mon", "tue", "thu", "fri"]},
        "item": [
            {"id": k, "on": [k], "to": [f"{k}2"], "crew_hours": (2.0, 4.0, 9.0), "trades": t}
            for k, t in [("a", ["electrician"]), ("b", []), ("c", ["electrician", "pipefitter"])]
        ],
        "plan": {"runs": 300, "size": "medium", "order_early_days": 7.0},
    }
    given = case(site)
    road = Road(given, bought_supplies(given, ()))
    starts, finishes = road.runs.dates.starts, road.runs.dates.finishes
    for trade in {trade for step in road.steps for trade in step.trades}:
        busy = [n for n, step in enumerate(road.steps) if trade in step.trades]
        for one, other in combinations(busy, 2):
            apart = np.minimum(finishes[one], finishes[other])
            assert np.all(apart - np.maximum(starts[one], starts[other]) <= 1e-5)
    for number, step in enumerate(road.steps):
        for earlier in step.after:
            assert np.all(starts[number] >= finishes[road.number[earlier]] - 1e-5)
        if not step.elapsed and max(step.days) > 0:
            begun = np.floor(starts[number] + 1e-6).astype(int)
            assert np.all(road.network.calendar.working[begun])


def test_the_chance_of_first_chips_by_its_median_is_a_half() -> None:
    site = {**EXAMPLE, "task": [{"id": "build", "days": (100.0, 112.0, 180.0)}]}
    given = case({**site, "plan": {"runs": 2000}})
    runs = Road(given, bought_supplies(given, ())).runs
    middle = np.median(runs.first_chips_days)
    assert (runs.first_chips_days <= middle).mean() >= 0.5
    assert runs.first_chips_by(0.5) <= runs.first_chips_by(0.8) <= runs.first_chips_by(0.95)


def test_every_package_gets_the_smallest_transformer_that_carries_it() -> None:
    names = [name for name, _, _ in OPTIONS]
    given = case(POWER)
    for count in range(len(names) + 1):
        for chosen in combinations(names, count):
            load = 50 + sum(kva for name, kva, _ in OPTIONS if name in chosen)
            fitting = [size for size in (75, 112.5, 150) if size >= 1.25 * load]
            options = fitted_options(given, Package(id="asked", options=chosen))
            (bought,) = bought_supplies(given, options)
            assert bought.rating == fitting[0]


def test_a_case_without_a_site_says_what_to_write() -> None:
    bare = case(POWER).model_copy(update={"site": None})
    with pytest.raises(RequestError, match=r"no site\.toml"):
        readiness(bare, Package(id="base"))


def test_receivers_are_told_that_keep_a_compressor_within_its_cycles() -> None:
    """At half load a cycle of 1.5 minutes takes 1.5 * 1,500 * 1.01325 / 4 / 1 = 569.95 L."""
    screw = {
        "id": "screw",
        "delivery_l_min": 1500.0,
        "load_bar": 6.9,
        "unload_bar": 7.9,
        "cycles_per_hour": 40.0,
    }
    given = {**EXAMPLE, "air": {"present_l_min": 500.0, "compressor": [screw]}}
    told = {figure.id: figure for figure in ready(given).figures}
    assert told["receivers-screw"].value == pytest.approx(569.953, abs=1e-3)
    missing = {
        **given,
        "air": {"present_l_min": 500.0, "compressor": [{**screw, "load_bar": None}]},
    }
    told = {figure.id: figure for figure in ready(missing).figures}
    assert told["receivers-screw"].value is None


def test_a_supply_does_not_take_the_place_of_a_task_of_its_id() -> None:
    """A course bought under the id 'training' put the first article before the machine."""
    course = {"id": "training", "what": "Course", "price": 900.0, "lead_days": (20.0, 30.0, 40.0)}
    with pytest.raises(RequestError, match="supply 'training': the task 'operators trained' has"):
        readiness(case({"supply": [course]}), Package(id="base"))
