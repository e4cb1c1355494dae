"""Published figures of floors, skates and the first weeks; each test names its source."""

import pytest

from optioneer.site import floor, startup
from optioneer.units import in_unit


def test_floor_and_foot_of_a_nine_tonne_machine() -> None:
    """Synthetic: 3.0 x 2.5 m, six feet of 100 mm; mass * g / area, with g = 9.81."""
    assert floor.floor_load_kg_m2(9000, 7.5) == pytest.approx(1200)
    pad = 3.141592653589793 / 4 * 0.1**2
    assert floor.foot_pressure_mpa(9000, 6, pad) == pytest.approx(1.8736, rel=1e-3)
    assert floor.foot_pressure_mpa(9000, 6, pad, uneven=1.5) == pytest.approx(2.8104, rel=1e-3)


def test_a_slab_of_16_by_18_feet_and_4_inches_is_96_cubic_feet() -> None:
    """Worked example of techylib.com: 96 ft3 = 3.56 yd3."""
    sides = in_unit("16 ft", "m"), in_unit("18 ft", "m"), in_unit("4 inch", "m")
    cubic_feet = floor.slab_volume_m3(*sides) / in_unit("1 ft", "m") ** 3
    assert cubic_feet == pytest.approx(96)
    assert cubic_feet / 27 == pytest.approx(3.56, abs=0.005)


def test_skates_of_a_twenty_tonne_machine() -> None:
    """At most 80 % of capacity (mod24.com); two of four may carry all (rigging.com)."""
    assert floor.skate_rating_kg(20000, 3) == pytest.approx(8333.3, abs=0.05)
    assert floor.skate_rating_kg(20000, 4) == pytest.approx(12500)


def test_first_fill_and_top_up() -> None:
    """Top-up guide of cncmarket.de: 80 L; 700 L left at 10 % want a mix of 3.3 %."""
    assert startup.first_fill_l(1000, 0.08) == pytest.approx(80)
    assert startup.top_up_share(1000, 700, target=0.08, now=0.10) == pytest.approx(0.033, abs=5e-4)


def test_three_jobs_in_one_service_trip_cost_6024_instead_of_8568() -> None:
    """Rates of a published field-service sheet (198 and 159 an hour, 8 h a day at least)."""
    separate = 3 * startup.visits_cost([6], 8, labour=198, travel=159)
    assert separate == pytest.approx(8568)
    assert startup.visits_cost([6, 6, 6], 8, labour=198, travel=159) == pytest.approx(6024)


def test_ramp_up_of_six_weeks_loses_70_hours() -> None:
    """Common practice, no source: 25, 50, 70, 85, 95, 100 % of 40 hours."""
    shares = [0.25, 0.50, 0.70, 0.85, 0.95, 1.0]
    assert startup.ramp_hours_lost(shares, 40) == pytest.approx(70)
