"""Published figures of floors, skates and coolant; each test names its source."""

import pytest

from optioneer.site import floor, startup


def test_floor_and_foot_of_a_nine_tonne_machine() -> None:
    """Synthetic: 3.0 x 2.5 m, six feet of 100 mm; mass * g / area, with g = 9.81."""
    assert floor.floor_load_kg_m2(9000, 7.5) == pytest.approx(1200)
    pad = 3.141592653589793 / 4 * 0.1**2
    assert floor.foot_pressure_mpa(9000, 6, pad) == pytest.approx(1.8736, rel=1e-3)
    assert floor.foot_pressure_mpa(9000, 6, pad, uneven=1.5) == pytest.approx(2.8104, rel=1e-3)


def test_skates_of_a_twenty_tonne_machine() -> None:
    """At most 80 % of capacity (mod24.com); two of four may carry all (rigging.com)."""
    assert floor.skate_rating_kg(20000, 3) == pytest.approx(8333.3, abs=0.05)
    assert floor.skate_rating_kg(20000, 4) == pytest.approx(12500)


def test_first_fill() -> None:
    """Top-up guide of cncmarket.de: 1,000 L at 8 % take 80 L."""
    assert startup.first_fill_l(1000, 0.08) == pytest.approx(80)
