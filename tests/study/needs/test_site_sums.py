"""Published sums as `ready` tells them: electricity, air, and where they used to go wrong."""

from typing import Any

import pytest

from optioneer.model.machine import Package
from optioneer.study.needs.answers import Need, SiteFigure
from optioneer.study.ready.answers import Readiness
from optioneer.study.ready.ready import readiness
from tests.study.ready.sites import case, transformer


def ready(site: dict[str, Any], *options: str) -> Readiness:
    return readiness(case({"plan": {"runs": 100}, **site}), Package(id="x", options=options))


def need(answer: Readiness, key: str) -> Need:
    return next(need for need in answer.needs if need.id == key)


def figure(answer: Readiness, key: str) -> SiteFigure:
    return next(figure for figure in answer.figures if figure.id == key)


SINGLE: dict[str, Any] = {
    "shop": {"supply_v": 240.0, "service_a": 200.0, "peak_a": 100.0, "run_m": 10.0},
    "needs": {"voltage_v": 240.0, "phases": 1, "full_load_kva": 25.0},
}
"""A single-phase machine of 25 kVA between two lines of a three-phase supply."""


def test_a_single_phase_machine_on_three_phases_draws_104_amps_not_60() -> None:
    """kVA * 1000 / V, SolaHD technical note, step D (manualmachine.com)."""
    answer = ready(SINGLE)
    assert figure(answer, "supply-current").value == pytest.approx(104.17, abs=0.005)
    service = need(answer, "service")
    assert service.required == pytest.approx(229.17, abs=0.005)  # 125 % of 100, and 104.17
    assert (service.status, service.available) == ("short", 200)


def test_its_run_loses_twice_the_drop_of_one_way_not_root_three() -> None:
    """2 * K * I * L / CM (piping-designer.com); K = 12.9, 2 AWG copper, 33 ft."""
    shop = {**SINGLE["shop"], "conductor_mm2": "2 AWG", "run_m": "33 ft"}
    lost = need(ready({**SINGLE, "shop": shop}), "voltage-drop").required
    assert lost == pytest.approx(100 * 2 * 12.9 * 104.17 * 33 / 66360 / 240, rel=1e-3)


def test_what_a_service_lets_through_for_it_is_bought_and_no_more() -> None:
    service = {
        "id": "service-230",
        "what": "230 A",
        "kind": "service",
        "rating": 229.0,
        "price": 9000.0,
        "lead_days": (1.0, 1.0, 1.0),
    }
    larger = {**service, "id": "service-250", "what": "250 A", "rating": 250.0, "price": 9500.0}
    bought = {p.id for p in ready({**SINGLE, "supply": [service, larger]}).purchases}
    assert "service-250" in bought
    assert "service-230" not in bought


def test_the_primary_of_a_480_volt_25_kva_single_phase_transformer_takes_125_amps() -> None:
    """52 A (textbook extract), 250 % rounded down by NEC Table 450.3(B); 70 A were told."""
    site = {
        "shop": {"supply_v": 480.0},
        "needs": {"voltage_v": 240.0, "phases": 1, "full_load_kva": 20.0},
        "supply": [transformer(25, 3000)],
    }
    answer = ready(site)
    assert figure(answer, "primary-device").value == 125
    assert figure(answer, "secondary-device").value == 150  # 104.2 A at 125 %, up
    assert figure(answer, "primary-only-device").value == 70  # 52.1 A at 125 %, up


def test_devices_of_a_75_kva_transformer_from_480_to_208_volts() -> None:
    """Transformer page of hardhatmath.com: 225 A and 300 A; primary alone derived, 125 A."""
    site = {
        "shop": {"supply_v": 480.0},
        "needs": {"voltage_v": 208.0, "full_load_kva": 60.0},
        "supply": [transformer(75, 5000)],
    }
    answer = ready(site)
    told = [figure(answer, f"{key}-device").value for key in ("primary", "secondary")]
    assert told == [225, 300]
    assert figure(answer, "primary-only-device").value == 125


@pytest.mark.parametrize("kva", [62.5, 63.0, 74.0])
def test_a_transformer_on_hand_of_no_standard_size_suffices(kva: float) -> None:
    on_hand = {"kva": kva, "primary_v": 480.0, "secondary_v": 400.0}
    site = {
        "shop": {"supply_v": 480.0},
        "needs": {"voltage_v": 400.0, "full_load_kva": 50.0},
        "transformer": [on_hand],
    }
    answer = ready(site)
    told = need(answer, "transformer")
    assert (told.status, told.required, told.short) == ("ok", 62.5, 0)
    assert not answer.purchases or "transformer" not in {p.id for p in answer.purchases}
    small = need(ready({**site, "transformer": [{**on_hand, "kva": 62.0}]}), "transformer")
    assert (small.status, small.required, small.short) == ("short", 75, 13)


def test_demand_factors_and_diversity_stand_in_for_a_peak_nobody_measured() -> None:
    """Demand and diversity factor per the NEC, scribd 125222275: 837.5 kVA, by 1.5 558.33 kVA."""
    factors = [(250.0, 0.90), (200.0, 0.80), (150.0, 0.75), (400.0, 0.85)]
    loads = [{"id": f"load-{n}", "kva": kva, "factor": f} for n, (kva, f) in enumerate(factors)]
    shop = {"supply_v": 480.0, "service_a": 1000.0, "diversity": 1.5, "peak_factor": 1.0}
    needs = {"voltage_v": 480.0, "full_load_kva": 50.0}
    answer = ready({"shop": shop, "needs": needs, "load": loads})
    assert figure(answer, "listed-loads").value == pytest.approx(558.33, abs=0.005)
    service = need(answer, "service").required
    assert service == pytest.approx((558.333 + 50) * 1000 / 480 / 3**0.5, rel=1e-5)
    measured = ready({"shop": {**shop, "peak_a": 100.0}, "needs": needs, "load": loads})
    assert need(measured, "service").required == pytest.approx(160.14, abs=0.005)


def test_demand_of_a_group_by_the_quick_estimates_of_a_published_table() -> None:
    """UFC 3-501-01 (2015, change 1 of 2019), 2.2.3, Table 2: 73.75 kVA."""
    quick = [("machines", 200.0, 0.30), ("fans", 10.0, 0.25), ("lights", 15.0, 0.75)]
    loads = [{"id": key, "kva": kva, "factor": factor} for key, kva, factor in quick]
    assert figure(ready({"load": loads}), "listed-loads").value == pytest.approx(73.75)


def test_conductors_of_a_published_load_list_carry_71_4_amps() -> None:
    """NEC 670.4 as in 'Machine power supply specification', industrialmonitordirect.com."""
    full = 32 + 14 + 7.6 + 4.8 + 5.0
    site = {
        "shop": {"supply_v": 480.0, "conductor_a": 65.0},
        "needs": {
            "voltage_v": 480.0,
            "full_load_kva": 3**0.5 * 480 * full / 1000,
            "largest_motor_a": 32.0,
        },
    }
    told = need(ready(site), "conductor")
    assert told.required == pytest.approx(71.4)
    assert (told.status, told.available) == ("short", 65)


def test_conductors_before_a_transformer_carry_its_primary_current() -> None:
    site = {
        "shop": {"supply_v": 480.0},
        "needs": {"voltage_v": 240.0, "full_load_kva": 40.0, "largest_motor_a": 40.0},
    }
    full = 40_000 / 240 / 3**0.5
    assert need(ready(site), "conductor").required == pytest.approx((full + 10) / 2)


def test_conductors_nobody_has_given_are_missing() -> None:
    answer = ready({"needs": {"voltage_v": 400.0, "full_load_kva": 20.0}})
    assert need(answer, "conductor").status == "missing"
    assert any("largest motor A" in line and "conductor A" in line for line in answer.missing)


def test_the_least_conductor_for_a_drop_is_the_published_one() -> None:
    """Derived: 100 A over 150 ft at 208 V lose 2.4281 % in 2 AWG copper, K = 12.9."""
    shop = {"supply_v": 208.0, "run_m": "150 ft", "allowed_drop": 0.024281}
    load = 3**0.5 * 208 * 100 / 1000
    answer = ready({"shop": shop, "needs": {"full_load_kva": load, "voltage_v": 208.0}})
    assert figure(answer, "conductor-area").value == pytest.approx(33.63, rel=1e-3)


SCREW: dict[str, Any] = {
    "id": "screw",
    "delivery_l_min": "40 cfm",
    "load_bar": 6.0,
    "unload_bar": 8.068,  # a band of 30 psi
}


def air(**more: Any) -> dict[str, Any]:
    """Half of 40 cfm is drawn, from 80 gallons."""
    shop_air = {
        "present_l_min": 0.0,
        "leak_share": 0.0,
        "receivers_l": "80 gal",
        "atmosphere_bar": 1.01353,  # 14.7 psi
    }
    return {"needs": {"air_l_min": "20 cfm", "air_bar": 5.5}, "air": {**shop_air, **more}}


def test_ten_horsepower_on_80_gallons_starts_too_often() -> None:
    """Derived: 27.49 starts an hour; NEMA MG 10 Table 2-3, 10 hp, 4 poles: 12.5."""
    motor = {**SCREW, "motor_kw": "10 hp", "poles": 4}
    answer = ready(air(compressor=[motor]))
    cycles = need(answer, "cycles-screw")
    assert cycles.required == pytest.approx(27.49, abs=0.02)
    assert (cycles.available, cycles.status) == (12.5, "short")
    receivers = figure(answer, "receivers-screw").value
    assert receivers == pytest.approx(175.93 * 3.785412, rel=1e-3)
    maker = need(ready(air(compressor=[{**motor, "cycles_per_hour": 30.0}])), "cycles-screw")
    assert (maker.available, maker.status) == (30, "ok")


def test_a_shop_without_a_receiver_cycles_without_end_and_that_is_not_missing() -> None:
    motor = {**SCREW, "cycles_per_hour": 30.0}
    told = need(ready(air(compressor=[motor], receivers_l=0.0)), "cycles-screw")
    assert told.status == "short"
    idle = {**air(compressor=[motor], receivers_l=0.0), "needs": {"air_l_min": 0.0}}
    assert need(ready(idle), "cycles-screw").required == 0


def test_a_peak_of_no_time_needs_no_receiver() -> None:
    site = air(compressor=[SCREW])
    needs = {**site["needs"], "air_peak_l_min": 5000.0, "air_peak_s": 0.0}
    told = need(ready({**site, "needs": needs}), "receiver")
    assert (told.status, told.required) == ("ok", 0)


def test_pressure_lost_in_a_published_pipe_is_missing_at_the_machine() -> None:
    """Derived: 20 L/s through 100 m of 27.3 mm from 8 bar absolute lose 0.09467 bar."""
    needs = {"air_l_min": 1200.0, "air_bar": 6.9}
    compressor = {**SCREW, "load_bar": 7.0, "unload_bar": 8.0}
    line = {"line_m": 100.0, "line_mm": 27.3, "atmosphere_bar": 1.0, "compressor": [compressor]}
    answer = ready({"needs": needs, "air": line})
    told = need(answer, "air-line")
    assert told.required == pytest.approx(0.09467, abs=5e-6)
    assert told.status == "ok"  # 0.1 bar
    assert need(answer, "air-pressure").available == pytest.approx(7 - 0.09467, abs=5e-6)
    narrow = ready({"needs": needs, "air": {**line, "line_mm": 21.6}})
    assert need(narrow, "air-line").status == "short"
    assert need(narrow, "air-pressure").status == "short"


def test_an_item_that_goes_where_it_stands_is_not_moved() -> None:
    """It cost hours and a visit."""
    stays = {"id": "saw", "on": ["b", "a"], "to": ["a", "b"], "crew_hours": (2.0, 2.0, 2.0)}
    trades = {"trades": ["electrician"]}
    answer = ready({"item": [{**stays, **trades}], "crew": {"hours_per_day": 4.0}})
    assert (answer.moves, answer.crew_hours, answer.visits) == ((), 0, 0)


def test_no_page_says_from_memory_or_money() -> None:
    answer = ready(SINGLE)
    told = answer.model_dump_json()
    assert "from memory" not in told
    assert "money" not in told.replace("money_", "")
    assert figure(answer, "air-energy").unit == "USD/year"


def test_critical_tasks_have_no_float_whatever_day_they_end_on() -> None:
    """A machine that arrives on a Saturday may be two days late before anybody notices."""
    for weeks in (16.0, 16.5, 16.7, 17.1):
        answer = readiness(case({"plan": {"runs": 100}}, build_weeks=weeks), Package(id="base"))
        floats = {task.id: task.float_days for task in answer.tasks if task.critical}
        assert floats
        assert {key for key, days in floats.items() if days > 0} == set()
