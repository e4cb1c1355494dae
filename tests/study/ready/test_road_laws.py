"""What is true of every road: turns, bounds and discounts that no single date shows."""

from dataclasses import replace
from datetime import date
from typing import Any

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.site import RULE_OF_THUMB
from optioneer.model.works import WorkCalendar
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.answers import Readiness
from optioneer.study.ready.calendar import public_holidays
from optioneer.study.ready.ready import MOST_SHIFTED, fitted_options, readiness, shifts_of
from optioneer.study.ready.road import Road
from optioneer.study.ready.step_costs import Level, site_steps
from tests.study.ready.sites import POWER, case, transformer

SITE: dict[str, Any] = {**POWER, "plan": {"runs": 100}}
BASE = Package(id="base")


def road_of(given: Case, **shifts: float) -> Road:
    supplies = bought_supplies(given, fitted_options(given, BASE))
    named = {key.replace("_", "-"): days for key, days in shifts.items()}
    return Road(given, supplies, named)


def basis(answer: Readiness, key: str) -> str:
    return next(task.basis for task in answer.tasks if task.id == key)


@pytest.mark.parametrize("ahead", [0.0, 10.0])
def test_nothing_that_is_ordered_or_booked_begins_earlier_than_planned(ahead: float) -> None:
    road = road_of(case({**POWER, "plan": {"runs": 100, "order_early_days": ahead}}))
    early = road.planned.starts[:, 0] - (road.late.starts[:, 0] - ahead)
    waited = [n for n, step in enumerate(road.steps) if step.supply is not None or step.trades]
    assert {road.steps[n].id for n in waited} > {"wiring", "air-line", "transformer-75"}
    assert all(early[n] >= -1e-9 for n in waited)
    free = [n for n in range(len(road.steps)) if n not in waited]
    assert any(early[n] < -1 for n in free)  # the others begin as early as they can


def test_a_task_is_never_shorter_than_nothing_however_early_it_is() -> None:
    road = road_of(case(SITE), wiring=-100.0)
    assert road.planned_days[road.number["wiring"], 0] == 0
    assert (road.early.finishes >= road.early.starts).all()


def test_a_shift_is_taken_up_to_its_bound_and_refused_beyond() -> None:
    most = f"{MOST_SHIFTED:g}"
    assert shifts_of([f"wiring={most}", f" air-line = -{most}"]) == {
        "wiring": MOST_SHIFTED,
        "air-line": -MOST_SHIFTED,
    }
    with pytest.raises(RequestError):
        shifts_of([f"wiring={MOST_SHIFTED + 1:g}"])


def test_only_holidays_of_the_days_asked_for_are_given() -> None:
    """Austria, May 2026: state holiday, Ascension Day and Whit Monday (Easter is 5 April)."""
    found = public_holidays(WorkCalendar(country="AT"), date(2026, 5, 1), date(2026, 5, 25))
    assert found == (date(2026, 5, 1), date(2026, 5, 14), date(2026, 5, 25))


def test_days_lost_are_worth_less_the_later_first_chips_are() -> None:
    slow = transformer(112.5, 5000, lead_days=(300.0, 300.0, 300.0))
    given = case({**SITE, "supply": [transformer(75, 5000), slow]})
    free = given.model_copy(
        update={"growth": given.growth.model_copy(update={"discount_rate": 0.0})}
    )
    (dear,), (whole,) = site_steps(given), site_steps(free)
    assert whole.levels[1].lost > 60 * 1000
    years = given.dates.lead_years
    assert dear.levels[1].lost == pytest.approx(whole.levels[1].lost / 1.08**years)


def test_tax_takes_its_part_of_margin_lost_and_of_what_is_paid_each_by_its_own_factor() -> None:
    level = Level("x", 10.0, now=1000.0, later=700.0, downtime=200.0, lost=400.0)
    taxed = level.taxed(0.8, 0.75)
    assert taxed == replace(level, now=0.8 * 600 + 0.75 * 400, downtime=150.0, lost=300.0)


def test_another_need_that_is_met_does_not_bring_the_voltage() -> None:
    short = {"shop": {"supply_v": 480.0, "ceiling_m": 4.0}, "supply": []}
    needs = {"voltage_v": 400.0, "height_m": 2.5}  # nobody knows how many kVA
    answer = readiness(case({**SITE, **short, "needs": needs}), BASE)
    assert "ok" in {need.status for need in answer.needs}
    assert any("rated voltage: short" in what for what in answer.undated)


def test_a_task_is_booked_by_the_notice_of_its_own_trades() -> None:
    notices = {"electrician": 30.0, "pipefitter": 5.0}
    trades = [{"id": key, "notice_days": days, "per_visit": 100.0} for key, days in notices.items()]
    answer = readiness(case({**SITE, "trade": trades}), BASE)
    dates = {task.id: (task.late_start, task.book_by) for task in answer.tasks}
    for key, days in (("wiring", 30), ("air-line", 5)):
        start, booked = dates[key]
        assert booked is not None
        assert (start - booked).days == days


def test_a_lead_time_that_was_quoted_is_called_so() -> None:
    quoted = [transformer(75, 5000, quoted=said) for said in (True, False)]
    said = [basis(readiness(case({**SITE, "supply": [one]}), BASE), one["id"]) for one in quoted]
    assert said[0] == "quote"
    assert said[1] != "quote"


@pytest.mark.parametrize(
    ("plan", "said"), [({"size": "small"}, RULE_OF_THUMB), ({}, "machine.toml")]
)
def test_days_of_commissioning_say_whose_they_are(plan: dict[str, str], said: str) -> None:
    answer = readiness(case({**POWER, "plan": {"runs": 100, **plan}}), BASE)
    assert basis(answer, "commissioning") == said
