"""Published compressed-air figures.

R-lib: unit tests of the Oak Ridge National Laboratory's AMO-Tools-Suite (commit 15208321). Others
are named at the test. The formulas take any one set of units, so that the published figures in
cubic feet, gallons and psi are entered as printed.
"""

import pytest

from optioneer.site import air
from optioneer.units import in_unit

GALLONS = 7.48
"""Gallons a cubic foot, as the sources round it."""


@pytest.mark.parametrize(
    ("minutes", "draw", "refill", "psia", "drop", "gallons"),
    [
        (5, 50, 40, 14.5, 30, 180.77),  # maker's note, blog.exair.com, 20 November 2017
        (0.5, 100, 0, 14.7, 10, 549.78),  # R-lib DedicatedStorage
        (1.5, 120, 0, 11.7, 30, 525.096),  # R-lib DedicatedStorage at altitude
        (0.5, 900, 45, 14.7, 30, 1566.873),  # R-lib MeteredStorage
        (0.5, 60, 4.8, 14.7, 10, 303.48),  # derived: a spike at a machine
    ],
)
def test_receiver_that_rides_through(
    minutes: float, draw: float, refill: float, psia: float, drop: float, gallons: float
) -> None:
    volume = air.receiver_l(minutes, draw, refill_l_min=refill, drop_bar=drop, atmosphere_bar=psia)
    assert volume * GALLONS == pytest.approx(gallons, rel=1e-3)
    back = air.bridged_l_min(
        minutes, volume, refill_l_min=refill, drop_bar=drop, atmosphere_bar=psia
    )
    assert back == pytest.approx(draw)


def test_the_same_receiver_in_litres_and_bar() -> None:
    """R-lib DedicatedStorage, converted: 549.78 gal."""
    volume = air.receiver_l(
        0.5,
        in_unit("100 cfm", "L/min"),
        drop_bar=in_unit("10 psi", "bar"),
        atmosphere_bar=in_unit("14.7 psi", "bar"),
    )
    assert in_unit(f"{volume} L", "gal") == pytest.approx(549.78, rel=1e-3)


@pytest.mark.parametrize(("gallons", "drop", "scf"), [(660, 10, 60.024), (760, 50, 345.593)])
def test_usable_air_of_a_tank(gallons: float, drop: float, scf: float) -> None:
    """R-lib UsableAirCapacity."""
    assert air.usable_l(gallons / GALLONS, drop, 14.7) == pytest.approx(scf, rel=1e-4)


def test_ten_horsepower_on_80_gallons_starts_too_often() -> None:
    """Derived from the load-cycle formula; limit 12.5 of NEMA MG 10 Table 2-3."""
    cycle = air.cycle_minutes(80 / GALLONS, 40, load=0.5, band_bar=30, atmosphere_bar=14.7)
    assert cycle == pytest.approx(2.1827, abs=1e-4)
    assert 60 / cycle == pytest.approx(27.49, abs=0.005)
    allowed = air.starts_per_hour(10, 4)
    assert allowed == 12.5
    needed = air.receiver_for_cycles_l(allowed, 40, band_bar=30, atmosphere_bar=14.7)
    assert needed * GALLONS == pytest.approx(175.93, abs=0.01)


def test_starts_of_a_25_hp_motor() -> None:
    """NEMA MG 10 Table 2-3: 25 hp, 4 poles, A = 8.8; nothing beyond the last row."""
    assert air.starts_per_hour(25, 4) == 8.8
    assert air.starts_per_hour(22, 4) == 8.8
    assert air.starts_per_hour(60, 4) is None


def test_demand_list_of_a_workshop() -> None:
    """Worked list of shopmath.fyi: 23.2 cfm, with a quarter for growth 29."""
    cfm = air.average_l_min([(2, 8, 0.60), (1, 12, 0.80), (2, 4, 0.25)]) + 2
    assert cfm == pytest.approx(23.2)
    assert 1.25 * cfm == pytest.approx(29)


def test_yearly_cost_of_a_loaded_and_an_unloaded_state() -> None:
    """R-lib, inputs of the 1998 DOE sourcebook: 215 bhp, 6,800 h, 0.05 $/kWh, 85 % loaded."""
    shaft = 215 * 0.746
    loaded = air.loaded_kw(shaft, share=1.0, efficiency=0.95)
    unloaded = air.loaded_kw(shaft, share=0.25, efficiency=0.90)
    cost = air.energy_cost(loaded, 6800 * 0.85, price_per_kwh=0.05)
    idle = air.energy_cost(unloaded, 6800 * 0.15, price_per_kwh=0.05)
    assert cost == pytest.approx(48792.326, abs=0.001)
    assert idle == pytest.approx(2272.192, abs=0.001)


def test_yearly_cost_of_35_cfm() -> None:
    """Catalogue page 616, catalogs.jhf.com: 0.207 kW/cfm, 8,000 h, 0.07 $/kWh give 4,057 $."""
    assert air.energy_cost(35 * 0.207, 8000, price_per_kwh=0.07) == pytest.approx(4057, abs=0.5)


def test_leak_test() -> None:
    """augustcompressor.com, unrounded: 14.286 % of 900 cfm = 128.57 cfm."""
    share = air.leak_share(8, 48)
    assert share == pytest.approx(0.14286, abs=5e-6)
    assert 900 * share == pytest.approx(128.57, abs=0.005)
