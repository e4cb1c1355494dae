"""Every sum of one invented shop, worked by hand from its definition.

Formulas as the needs themselves name them; physical and electrical constants: standard gravity
9.80665 m/s2, 12.9 ohm circular mil/ft of copper at 75 degrees C (NEC chapter 9, from memory).
"""

from math import pi, sqrt
from typing import Any

import pytest

from optioneer.model.machine import Package
from optioneer.study.ready.answers import Readiness
from optioneer.study.ready.ready import readiness
from tests.study.ready.sites import case, transformer

SCREW: dict[str, Any] = {
    "id": "screw",
    "delivery_l_min": 1200.0,
    "load_bar": 6.5,
    "unload_bar": 7.3,
    "power_kw": 7.5,
    "unloaded_share": 0.3,
    "blowdown_s": 30.0,
    "cycles_per_hour": 40.0,
}
OLD: dict[str, Any] = {**SCREW, "id": "old", "delivery_l_min": 500.0, "power_kw": 4.0}
SHOP: dict[str, Any] = {
    "shop": {
        "supply_v": 480.0,
        "frequency_hz": 60,
        "service_a": 200.0,
        "peak_a": 90.0,
        "peak_factor": 1.2,
        "other_a": 11.0,
        "run_m": 25.0,
        "conductor_mm2": 33.6,
        "conductor_a": 80.0,
        "allowed_drop": 0.03,
        "volts_to_ground": 277.0,
        "panel_opposite": "B",
        "panel_depth_m": 1.0,
        "floor_limit_kg_m2": 1100.0,
        "free_length_m": 4.0,
        "free_width_m": 6.0,
        "ceiling_m": 3.0,
    },
    "needs": {
        "voltage_v": 400.0,
        "frequency_hz": 50,
        "full_load_kva": 50.0,
        "other_kva": 2.0,
        "largest_motor_a": 30.0,
        "heating_a": 8.0,
        "air_l_min": 300.0,
        "air_peak_l_min": 900.0,
        "air_peak_s": 12.0,
        "air_bar": 5.7,
        "length_m": 3.4,
        "width_m": 2.2,
        "height_m": 3.1,
        "service_m": (0.6, 0.8, 1.1, 0.5),
        "mass_kg": 8000.0,
        "load_kg": 500.0,
        "feet": 6,
        "pad_mm": 120.0,
        "foot_limit_mpa": 2.0,
        "shipping_width_m": 2.4,
        "shipping_height_m": 2.9,
        "sump_l": 400.0,
    },
    "air": {
        "present_l_min": 700.0,
        "compressor": [SCREW],
        "receivers_l": 500.0,
        "line_m": 20.0,
        "line_mm": 27.3,
        "hours_per_year": 4000.0,
        "price_per_kwh": 0.2,
    },
    "opening": [{"id": "gate", "width_m": 2.6, "height_m": 3.3}],
    "supply": [
        transformer(75, 5000),
        {"id": "oil", "what": "oil", "kind": "coolant", "rating": 0.07, "unit_price": 9.0},
        {"id": "tank", "what": "tank", "kind": "receiver", "rating": 300.0, "price": 900.0},
    ],
    "plan": {"runs": 100},
}
LOAD_KVA = 50 + 2 + 8  # nameplate, other, pump
AMPS = LOAD_KVA * 1000 / (480 * sqrt(3))
AIR = 700 + (300 + 40) * 1.1  # present, machine and pump with a tenth of leaks
X = AIR / 1200
CYCLE = 500 * 0.8 / (1.01325 * 1200 * X * (1 - X))  # minutes
COPPER = 12.9 * 5.067075e-4 / 0.3048  # ohm circular mil/ft in ohm mm2/m, to four digits

LOST = 450 * (940 / 60) ** 1.85 * 20 / (27.3**5 * (6.5 + 1.01325))  # peak and pump, L/s

NEEDS = {
    "voltage": (20.0, 10.0),
    "frequency": (10.0, 0.0),
    "phases": (3.0, 3.0),
    "transformer": (75.0, 0.0),
    "service": (1.2 * 90 + 11 + AMPS, 200.0),
    "compressor": (AIR, 1200.0),
    "receiver": (0.2 * (900 + 40 - (1200 - 700)) * 1.01325 / (6.5 - 5.7), 500.0),
    "floor": (8500 / (3.4 * 2.2), 1100.0),
    "area": ((3.4 + 1.4) * (2.2 + 1.6), 24.0),
    "voltage-drop": (100 * sqrt(3) * COPPER * AMPS * 25 / 33.6 / 480, 3.0),
    # NEC 670.4: a quarter more for heating and the largest motor; 400 V behind 480.
    "conductor": ((LOAD_KVA * 1000 / (400 * sqrt(3)) + (30 + 8) / 4) * 400 / 480, 80.0),
    "panel-depth": (3.5 * 0.3048, 1.0),  # 29 CFR 1910.303(g), Table S-1: 277 V, grounded opposite
    "air-pressure": (5.7, 6.5 - LOST),
    "air-line": (LOST, 0.1),
    "cycles-screw": (60 / CYCLE, 40.0),
    "foot-pressure": (8500 * 9.80665 / 6 / (pi / 4 * 0.12**2) * 1.5 / 1e6, 2.0),
    "ceiling": (3.1, 3.0),
    "short-side": (3.8, 4.0),
    "long-side": (4.8, 6.0),
    "gate-width": (2.4 + 2 * 0.15, 2.6),
    "gate-height": (2.9 + 0.15 + 0.20, 3.3),
}
"""By need: how much is required, how much is there."""


def told(site: dict[str, Any], *options: str) -> Readiness:
    return readiness(case(site), Package(id="asked", options=options))


def shop(**parts: dict[str, Any]) -> dict[str, Any]:
    """The shop with figures of its parts changed."""
    return SHOP | {part: SHOP[part] | figures for part, figures in parts.items()}


def figures(answer: Readiness) -> dict[str, float | None]:
    return {figure.id: figure.value for figure in answer.figures}


@pytest.mark.parametrize("key", NEEDS)
def test_what_is_needed_and_what_is_there(key: str) -> None:
    (need,) = [need for need in told(SHOP, "pump").needs if need.id == key]
    required, available = NEEDS[key]
    assert need.required == pytest.approx(required, rel=1e-4)
    assert need.available == pytest.approx(available)
    assert need.short == pytest.approx(max(0.0, required - available), abs=1e-4)
    assert (need.status == "short") == (required > available)


def test_no_need_is_left_out_here() -> None:
    assert {need.id for need in told(SHOP, "pump").needs} == set(NEEDS)


def mean_kw(full: float, x: float, litres: float, delivery: float) -> float:
    """Power drawn second by second over a load-and-idle cycle."""
    cycle = litres * 0.8 / (1.01325 * delivery * x * (1 - x)) * 60
    idle, steps = cycle * (1 - x), 20_000
    drawn = 0.0
    for k in range(steps):
        after = (k + 0.5) / steps * idle
        drawn += full * (1 - 0.7 * min(after / 30, 1.0)) / steps
    return full * x + drawn * (1 - x)


def test_figures_of_the_shop() -> None:
    primary, secondary = 75_000 / (480 * sqrt(3)), 75_000 / (400 * sqrt(3))
    assert (2.5 * primary, 1.25 * secondary) == pytest.approx((225.5, 135.3), abs=0.1)
    found = figures(told(SHOP, "pump"))
    energy = 4000 * 0.2 * mean_kw(7.5, X, 500.0, 1200.0)
    area = sqrt(3) * COPPER * AMPS * 25 / (0.03 * 480)
    assert found.pop("conductor-area") == pytest.approx(area, rel=1e-4)
    assert found == pytest.approx(
        {
            "connected-load": 60.0,
            "supply-current": AMPS,
            "machine-current": 60_000 / (400 * sqrt(3)),
            "primary-device": 225.0,  # 250 %, rounded down
            "secondary-device": 150.0,  # 125 %, rounded up
            "primary-only-device": 125.0,  # 125 % of 90.2, rounded up
            "receivers-screw": 1.5 * 1200 * 1.01325 / 4 / 0.8,
            "air-energy": energy,
            "skates-3": 8000 / 3 / 0.8,
            "skates-4": 8000 / 2 / 0.8,
            "oil-fill": 28.0,
        },
        rel=1e-6,
    )


def test_a_long_idle_spell_is_mostly_spent_unloaded() -> None:
    """A receiver ten times as large: the power has fallen long before the next load."""
    found = figures(told(shop(air={"receivers_l": 5000.0}), "pump"))
    assert found["air-energy"] == pytest.approx(800 * mean_kw(7.5, X, 5000.0, 1200.0), rel=1e-5)


def test_the_second_compressor_runs_for_what_the_first_leaves() -> None:
    """The first runs through; the second follows demand."""
    site = shop(air={"compressor": [{**SCREW, "delivery_l_min": 800.0}, OLD]})
    answer = told(site, "pump")
    x = (AIR - 800) / 500
    energy = 800 * (7.5 + mean_kw(4.0, x, 500.0, 500.0))
    assert figures(answer)["air-energy"] == pytest.approx(energy, rel=1e-6)
    required = {need.id: need.required for need in answer.needs}
    swing = 1.01325 * 500 * x * (1 - x)
    assert required["cycles-old"] == pytest.approx(60 / (500 * 0.8 / swing))
    # The first follows demand where the second runs through.
    x = (AIR - 500) / 800
    swing = 1.01325 * 800 * x * (1 - x)
    assert required["cycles-screw"] == pytest.approx(60 / (500 * 0.8 / swing))


def test_the_receiver_that_is_bought_saves_energy() -> None:
    site = shop(needs={"air_peak_s": 60.0}, air={"present_l_min": 300.0})
    answer = told(site, "pump")
    lacking = 1.0 * (940 - 900) * 1.01325 / 0.8 - 500
    assert lacking < 0  # 500 L do for that
    assert "tank" not in {purchase.id for purchase in answer.purchases}
    answer = told(shop(needs={"air_peak_s": 80.0}, air={"present_l_min": 600.0}), "pump")
    x = (600 + 340 * 1.1) / 1200
    found = figures(answer)
    assert found["air-energy"] == pytest.approx(800 * mean_kw(7.5, x, 500.0, 1200.0), rel=1e-5)
    assert found["air-energy-after"] == pytest.approx(
        800 * mean_kw(7.5, x, 800.0, 1200.0), rel=1e-4
    )


def test_on_one_phase_nothing_is_divided_by_root_three() -> None:
    site = shop(shop={"phases": 1, "supply_v": 240.0}, needs={"phases": 1, "voltage_v": 240.0})
    answer = told(site, "pump")
    found = figures(answer)
    assert found["supply-current"] == found["machine-current"] == 250.0
    required = {need.id: need.required for need in answer.needs}
    assert required["voltage-drop"] == pytest.approx(
        100 * 2 * COPPER * 250 * 25 / 33.6 / 240, rel=1e-4
    )
    assert required["service"] == pytest.approx(1.2 * 90 + 11 + 250)


@pytest.mark.parametrize(
    ("part", "key", "lost"),
    [
        ("shop", "supply_v", {"voltage", "transformer", "service", "voltage-drop", "conductor"}),
        ("shop", "conductor_a", {"conductor"}),
        ("needs", "largest_motor_a", {"conductor"}),
        ("air", "line_m", {"air-line"}),
        ("air", "line_mm", {"air-line"}),
        ("shop", "frequency_hz", {"frequency"}),
        ("shop", "service_a", {"service"}),
        ("shop", "peak_a", {"service"}),
        ("shop", "run_m", {"voltage-drop"}),
        ("shop", "conductor_mm2", {"voltage-drop"}),
        ("shop", "volts_to_ground", {"panel-depth"}),
        ("shop", "panel_opposite", {"panel-depth"}),
        ("shop", "panel_depth_m", {"panel-depth"}),
        ("shop", "floor_limit_kg_m2", {"floor"}),
        ("shop", "free_length_m", {"area", "short-side", "long-side"}),
        ("shop", "ceiling_m", {"ceiling"}),
        ("needs", "voltage_v", {"voltage", "transformer", "conductor"}),
        ("needs", "full_load_kva", {"transformer", "service", "voltage-drop", "conductor"}),
        ("needs", "air_l_min", {"compressor", "cycles-screw"}),
        ("needs", "air_peak_l_min", {"receiver"}),
        ("needs", "air_peak_s", {"receiver"}),
        ("needs", "air_bar", {"receiver", "air-pressure"}),
        ("needs", "length_m", {"floor", "area", "short-side", "long-side"}),
        ("needs", "mass_kg", {"floor", "foot-pressure"}),
        ("needs", "load_kg", {"floor", "foot-pressure"}),
        ("needs", "feet", {"foot-pressure"}),
        ("needs", "pad_mm", {"foot-pressure"}),
        ("needs", "foot_limit_mpa", {"foot-pressure"}),
        ("needs", "shipping_width_m", {"gate-width"}),
        ("needs", "shipping_height_m", {"gate-height"}),
        ("air", "present_l_min", {"compressor", "receiver", "cycles-screw"}),
        ("air", "receivers_l", {"receiver", "cycles-screw"}),
    ],
)
def test_a_figure_nobody_gave_is_missing_where_it_counts_and_nowhere_else(
    part: str, key: str, lost: set[str]
) -> None:
    answer = told(shop(**{part: {key: None}}), "pump")
    missing = [need for need in answer.needs if need.status == "missing"]
    assert {need.id for need in missing} == lost
    for need in missing:
        assert None in need.inputs.values(), "it names what is missing"


@pytest.mark.parametrize("key", ["motor_kw", "poles"])
def test_how_often_a_motor_may_start_is_missing_without_its_size_and_its_poles(key: str) -> None:
    motor = {"cycles_per_hour": None, "motor_kw": 7.5, "poles": 4, key: None}
    answer = told(shop(air={"compressor": [{**SCREW, **motor}]}), "pump")
    assert {need.id for need in answer.needs if need.status == "missing"} == {"cycles-screw"}


def test_without_any_figure_of_air_nobody_knows_what_the_line_loses() -> None:
    answer = told(shop(needs={"air_l_min": None, "air_peak_l_min": None}), "pump")
    missing = {need.id for need in answer.needs if need.status == "missing"}
    assert missing == {"compressor", "receiver", "cycles-screw", "air-line"}


@pytest.mark.parametrize(
    ("part", "key", "lost"),
    [
        (
            "needs",
            "full_load_kva",
            {"connected-load", "supply-current", "machine-current", "conductor-area"},
        ),
        ("shop", "run_m", {"conductor-area"}),
        ("needs", "voltage_v", {"machine-current"}),
        ("needs", "mass_kg", {"skates-3", "skates-4"}),
        ("needs", "sump_l", {"oil-fill"}),
        ("air", "price_per_kwh", {"air-energy"}),
        ("air", "hours_per_year", {"air-energy"}),
        ("air", "receivers_l", {"air-energy"}),
        ("air", "present_l_min", {"air-energy"}),
    ],
)
def test_a_figure_of_the_shop_is_none_where_what_it_takes_is_missing(
    part: str, key: str, lost: set[str]
) -> None:
    found = figures(told(shop(**{part: {key: None}}), "pump"))
    devices = {"primary-device", "secondary-device"}  # none where no transformer is sized
    assert {name for name, value in found.items() if value is None} - devices == lost


def test_no_conductor_is_large_enough_to_lose_nothing() -> None:
    assert figures(told(shop(shop={"allowed_drop": 0.0}), "pump"))["conductor-area"] is None


@pytest.mark.parametrize(
    "key", ["load_bar", "unload_bar", "power_kw", "unloaded_share", "blowdown_s"]
)
def test_energy_is_told_only_where_all_of_the_compressor_is_known(key: str) -> None:
    site = shop(air={"compressor": [{**SCREW, key: None}]})
    assert figures(told(site, "pump"))["air-energy"] is None


def test_what_the_site_costs_is_price_and_fitting_by_each_way_of_telling_it() -> None:
    supplies = [
        {"id": "by-price", "what": "a", "price": 100.0, "install": 11.0},
        {"id": "by-share", "what": "b", "share_of_price": 0.01, "install": 12.0},
        {"id": "by-quantity", "what": "c", "quantity": 3.0, "unit_price": 7.5, "install": 13.0},
        {"id": "oil", "what": "d", "kind": "coolant", "rating": 0.07, "unit_price": 9.0},
        {"id": "unknown", "what": "e", "quantity": 3.0},
    ]
    answer = told(SHOP | {"supply": supplies}, "pump")
    cents = {purchase.id: purchase.cents for purchase in answer.purchases}
    assert {key: cents[key] for key in ("by-price", "by-share", "by-quantity", "oil")} == {
        "by-price": 111_00,
        "by-share": 2012_00,
        "by-quantity": 35_50,
        "oil": 252_00,
    }
    assert cents["unknown"] is None


def test_what_a_gate_counts_is_told_in_its_parts() -> None:
    """Machine 52 kVA, pump 8, nothing reserved: the options here are fitted at the factory."""
    needs = {need.id: need.inputs for need in told(SHOP, "pump").needs}
    parts = [needs["transformer"][f"{part} kva"] for part in ("machine", "options", "reserved")]
    assert parts == [52.0, 8.0, 0.0]
