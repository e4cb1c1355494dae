"""The site is planned for what is ordered; what could be fitted later is told beside it."""

from typing import Any

import pytest

from optioneer.model.machine import Package
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.ready.page import ready_page
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.ready.ready import fitted_options, readiness
from tests.study.ready.sites import OPTIONS, transformer
from tests.study.worth.test_site_in_advice import SITE, earning

EVERY = tuple(name for name, _, _ in OPTIONS)
FIGURES = Figures("USD", "en_US")


def site(**plan: Any) -> dict[str, Any]:
    later = transformer(112.5, 9000, later=1.5, later_downtime_days=2.0, lead_days=(200.0,) * 3)
    return {**SITE, "supply": [transformer(75, 5000), later], "plan": {"runs": 100, **plan}}


def test_nothing_is_bought_for_an_option_that_is_not_ordered() -> None:
    given = earning(site(), later=True)
    bought = bought_supplies(given, fitted_options(given, Package(id="base")))
    assert [supply.id for supply in bought] == ["transformer-75"]


def test_what_can_never_be_fitted_later_asks_for_no_reserve() -> None:
    given = earning(site(), later=True)
    factory = {"fitting": "factory-only", "multiplier": None}
    options = tuple(
        one.model_copy(update=factory) if one.option == "chiller" else one
        for one in given.catalogue.options
    )
    catalogue = given.catalogue.model_copy(update={"options": options})
    (told,) = readiness(
        given.model_copy(update={"catalogue": catalogue}), Package(id="base")
    ).reserve
    assert set(told.options) == {"pump", "loader"}


def test_no_date_moves_for_an_option_that_is_not_ordered() -> None:
    given, never = earning(site(), later=True), earning(site())
    days = [with_first_chips(one).dates.first_chips for one in (given, never)]
    assert days[0] == days[1]


def test_what_is_named_is_provided_for_and_said() -> None:
    given = earning(site(reserve_for=("pump", "loader")), later=True)
    answer = readiness(given, Package(id="base"))
    assert "transformer-112-5" in {p.id for p in answer.purchases}
    assert answer.reserved_for == ("pump", "loader")
    said = " ".join(terminal_text(ready_page(given, answer, FIGURES)).split())
    assert "because the plan of the site reserves it: pump, loader." in said


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


def service_of_63_a(**plan: Any) -> dict[str, Any]:
    """A small shop: 28 A at peak and a machine of 13.5 kVA; a bigger service takes half a year."""
    return {
        "shop": {"supply_v": 400.0, "service_a": 63.0, "peak_a": 28.0},
        "needs": {"voltage_v": 400.0, "full_load_kva": 13.5},
        "supply": [
            {"id": "service-100", "what": "100 A", "kind": "service", "rating": 100.0,
             "price": 8500.0, "lead_days": (196.0, 196.0, 196.0)},
        ],
        "plan": {"runs": 100, **plan},
    }  # fmt: skip


def test_nobody_waits_half_a_year_for_a_service_that_nobody_ordered() -> None:
    """35 A of peak and 45.5 A of 31.5 kVA would be short; 19.5 A of 13.5 kVA are not."""
    given = earning(service_of_63_a(), later=True)
    answer = readiness(given, Package(id="base"))
    assert not [need.id for need in answer.needs if need.status == "short"]
    assert answer.purchases_cents == 0
    (service,) = answer.reserve
    assert service.required - service.available == pytest.approx(35 + 45.466 - 63, abs=0.001)
    assert service.now_cents == 850_000
    ordered = readiness(earning(service_of_63_a()), Package(id="all", options=EVERY))
    assert answer.planned_first_chips is not None
    assert ordered.planned_first_chips is not None
    waited = (ordered.planned_first_chips - answer.planned_first_chips).days
    assert service.first_chips_days == waited > 28


@pytest.mark.parametrize("power", [site, service_of_63_a])
def test_reserving_for_everything_gives_the_site_of_a_machine_with_everything(power: Any) -> None:
    given = earning(power(reserve_for=EVERY), later=True)
    answer = readiness(given, Package(id="base"))
    ordered = readiness(earning(power()), Package(id="all", options=EVERY))
    assert answer.reserve == ()
    assert answer.planned_first_chips == ordered.planned_first_chips
    assert answer.purchases == ordered.purchases
