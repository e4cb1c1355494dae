"""The site is planned for what is ordered; what could be fitted later is told beside it."""

from pathlib import Path
from typing import Any

import pytest

from optioneer.files.case.read import read_case
from optioneer.model.machine import Package
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.ready.page import ready_page
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.first_chips import dated
from optioneer.study.ready.ready import fitted_options, readiness
from tests.study.ready.sites import transformer
from tests.study.worth.test_site_in_advice import SITE, earning

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
SMALL_MILL = read_case(DEMOS / "small-mill")
FIGURES = Figures("USD", "en_US")


def site(**plan: Any) -> dict[str, Any]:
    later = transformer(112.5, 9000, later=1.5, later_downtime_days=2.0, lead_days=(200.0,) * 3)
    return {**SITE, "supply": [transformer(75, 5000), later], "plan": {"runs": 100, **plan}}


def test_nothing_is_bought_for_an_option_that_is_not_ordered() -> None:
    given = earning(site(), later=True)
    bought = bought_supplies(given, fitted_options(given, Package(id="base")))
    assert [supply.id for supply in bought] == ["transformer-75"]


def test_no_date_moves_for_an_option_that_is_not_ordered() -> None:
    given, never = earning(site(), later=True), earning(site())
    days = [dated(one).dates.first_chips for one in (given, never)]
    assert days[0] == days[1]


def test_what_is_named_is_provided_for_and_said() -> None:
    given = earning(site(reserve_for=("pump", "loader")), later=True)
    answer = readiness(given, Package(id="base"))
    assert "transformer-112-5" in {p.id for p in answer.purchases}
    assert answer.reserved_for == ("pump", "loader")
    said = " ".join(terminal_text(ready_page(given, answer, FIGURES)).split())
    assert "reserve_for in site.toml names them: pump, loader." in said


def test_beside_it_stands_what_would_be_needed_and_what_it_costs_now_or_later() -> None:
    """50 kVA and 18 of options at 125 % are 85 kVA: 112.5 kVA instead of 75."""
    answer = readiness(earning(site(), later=True), Package(id="base"))
    (told,) = answer.reserve
    assert (told.kind, told.unit, told.what) == ("transformer", "kVA", "112.5 kVA")
    assert set(told.options) == {"pump", "chiller", "loader"}
    assert (told.ordered, told.required) == (75, 112.5)
    assert told.now_cents == 400_000  # 9,000 instead of 5,000
    assert told.later_cents == 1_350_000  # 9,000 at one and a half times
    assert told.later_downtime_days == 2
    named = earning(site(reserve_for=("pump", "chiller", "loader")), later=True)
    then = readiness(named, Package(id="base")).planned_first_chips
    assert then is not None
    assert answer.planned_first_chips is not None
    assert told.first_chips_days == (then - answer.planned_first_chips).days > 60


def test_nothing_is_told_where_all_that_could_come_finds_room() -> None:
    given = earning({**site(), "supply": [transformer(150, 12000)]}, later=True)
    answer = readiness(given, Package(id="base"))
    assert answer.reserve == ()
    said = " ".join(terminal_text(ready_page(given, answer, FIGURES)).split())
    assert "What could be fitted later finds room in it." in said


def test_options_of_one_slot_are_not_added_up() -> None:
    given = earning(site(), later=True)
    options = [o.model_copy(update={"slot": "cooling"}) for o in given.catalogue.options]
    shared = given.model_copy(
        update={"catalogue": given.catalogue.model_copy(update={"options": tuple(options)})}
    )
    assert readiness(shared, Package(id="base")).reserve == ()  # 58 kVA at 125 % are 72.5


def test_the_small_mill_no_longer_waits_five_months_for_a_service_nobody_ordered() -> None:
    """It was short by 0.87 A, had its first chips on 17 January and spent 26,513."""
    answer = readiness(SMALL_MILL, Package(id="base"))
    assert not [need.id for need in answer.needs if need.status == "short"]
    assert str(answer.planned_first_chips) == "2027-08-16"
    assert answer.purchases_cents == 1_066_305
    service = next(one for one in answer.reserve if one.kind == "service")
    assert service.required - service.available == pytest.approx(0.87, abs=0.005)
    assert service.now_cents == 850_000
    assert service.first_chips_days == 154


@pytest.mark.parametrize("name", ["small-mill", "mill-turn"])
def test_reserving_for_everything_gives_the_site_that_was_planned_before(name: str) -> None:
    """Pinned: what the site was planned for when every retrofit was reserved for."""
    bare = read_case(DEMOS / name)
    assert bare.site is not None
    every = tuple(o.option for o in bare.catalogue.options if o.retrofittable)
    plan = bare.site.plan.model_copy(update={"reserve_for": every})
    given = bare.model_copy(update={"site": bare.site.model_copy(update={"plan": plan})})
    answer = readiness(given, Package(id="base"))
    assert answer.reserve == ()
    day = {"small-mill": "2028-01-17", "mill-turn": "2027-11-03"}[name]
    assert str(answer.planned_first_chips) == day
