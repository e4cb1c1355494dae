"""Published electrical figures.

10 CFR 431.196(a) (standard transformer sizes); NEC Table 450.3(B) and article 670.4
as printed in trade texts; UFC 3-501-01 (6 October 2015, change 1 of 1 November 2019), section
2.2.3, Table 2; 29 CFR 1910.303(g), Table S-1. Each test names the text its figures come from.
Tolerance: the digits printed.
"""

import pytest

from optioneer.site import power
from optioneer.units import in_unit

RATINGS = (100, 110, 125, 150, 175, 200, 225, 250, 300, 350, 400)
"""Standard device ratings [A], NEC 240.6(A), from memory."""


def test_208_volts_and_175_amps_are_63_05_kva_so_75() -> None:
    """Lecture notes on three-phase transformer sizing, coconote.app."""
    kva = power.line_kva(208, 175, phases=3)
    assert kva == pytest.approx(63.05, abs=0.005)
    assert power.next_size(kva, power.THREE_PHASE_KVA) == 75


def test_single_phase_240_volts_and_175_amps_are_42_kva_so_50_which_gives_208_amps() -> None:
    """The same lecture notes."""
    assert power.line_kva(240, 175, phases=1) == pytest.approx(42)
    assert power.next_size(42, power.SINGLE_PHASE_KVA) == 50
    assert power.line_amps(50, 240, phases=1) == pytest.approx(208, abs=0.5)


def test_devices_of_a_75_kva_480_to_208_transformer() -> None:
    """Transformer page of hardhatmath.com; the primary-only device derived from the table."""
    primary, secondary = (power.line_amps(75, v, phases=3) for v in (480, 208))
    assert primary == pytest.approx(90.2, abs=0.05)
    assert secondary == pytest.approx(208.2, abs=0.05)
    assert power.primary_device_a(primary, RATINGS) == 225  # 225.5 rounds down, not up
    assert power.secondary_device_a(secondary, RATINGS) == 300
    assert power.primary_only_device_a(primary, RATINGS) == 125


def test_25_kva_single_phase_draws_52_amps_at_480_volts() -> None:
    """Textbook extract: 52 A, 125 % = 65 A; 250 % = 130 A, rounded down 125 A (derived)."""
    amps = power.line_amps(25, 480, phases=1)
    assert amps == pytest.approx(52, abs=0.5)
    assert power.CONTINUOUS * amps == pytest.approx(65, abs=0.5)
    assert power.primary_device_a(amps, RATINGS) == 125


def test_demand_factors_multiply_and_diversity_divides() -> None:
    """Applying demand factor and diversity factor per the NEC, scribd 125222275."""
    loads = [(250, 0.90), (200, 0.80), (150, 0.75), (400, 0.85)]
    assert power.group_kva(loads) == pytest.approx(837.5)
    assert power.group_kva(loads, 1.5) == pytest.approx(558.33, abs=0.005)


def test_group_demand_by_quick_estimate_factors() -> None:
    """UFC 3-501-01 Table 2: machine tools 30 %, fractional motors 25 %, lighting 75 %."""
    assert power.group_kva([(200, 0.30), (10, 0.25), (15, 0.75)]) == pytest.approx(73.75)


def test_supply_conductors_of_a_machine_with_a_25_hp_spindle() -> None:
    """Load list in 'Machine power supply specification', industrialmonitordirect.com; NEC 670.4."""
    assert power.supply_amps(0, [32, 14, 7.6, 4.8], 5.0) == pytest.approx(71.4)


@pytest.mark.parametrize(
    ("amps", "feet", "cmil", "volts", "percent"),
    [(75, 25, 26240, 480, 0.3326), (100, 150, 66360, 208, 2.4281), (100, 150, 66360, 460, 1.098)],
)
def test_voltage_drop_with_12_9_ohm_cmil_per_foot(
    amps: float, feet: float, cmil: float, volts: float, percent: float
) -> None:
    """K = 12.9 copper, voltagedropformula.com; the examples are derived."""
    area = in_unit(f"{cmil} cmil", "mm2")
    run = in_unit(f"{feet} ft", "m")
    drop = power.drop_v(amps, run, area, metal="copper", phases=3)
    assert 100 * drop / volts == pytest.approx(percent, rel=3e-4)
    least = power.area_for_drop_mm2(amps, run, drop, metal="copper", phases=3)
    assert least == pytest.approx(area)


def test_resistivities_are_12_9_and_21_2_ohm_circular_mil_per_foot() -> None:
    mm2, metre = in_unit("1 cmil", "mm2"), in_unit("1 ft", "m")
    assert power.CONDUCTOR_OHM_MM2_PER_M["copper"] == pytest.approx(12.9 * mm2 / metre, rel=1e-4)
    assert power.CONDUCTOR_OHM_MM2_PER_M["aluminium"] == pytest.approx(21.2 * mm2 / metre, rel=1e-4)


def test_single_phase_drop_is_2_over_root_3_of_the_three_phase_one() -> None:
    one, three = (power.drop_v(10, 20, 16, metal="aluminium", phases=n) for n in (1, 3))
    assert one == pytest.approx(three * 2 / 3**0.5)


def test_a_400_volt_machine_on_a_208_volt_building() -> None:
    """Synthetic chain of the formulas above."""
    kva = power.line_kva(400, 62, phases=3)
    assert kva == pytest.approx(42.955, abs=5e-4)
    assert power.next_size(1.25 * kva, power.THREE_PHASE_KVA) == 75
    assert power.line_amps(kva, 208, phases=3) == pytest.approx(119.231, abs=5e-4)
    assert power.service_amps(140, [119.231, 30.8]) == pytest.approx(325.031)
    assert power.service_amps(220, [119.231, 30.8]) == pytest.approx(425.031)


@pytest.mark.parametrize(
    ("volts", "condition", "feet"),
    [(277, "A", 3.0), (277, "B", 3.5), (277, "C", 4.0)] + [(120, c, 3.0) for c in "ABC"],
)
def test_working_space_of_table_s_1(volts: float, condition: str, feet: float) -> None:
    """Table S-1 of 29 CFR 1910.303(g), state copy WAC 296-24-95703."""
    assert power.working_depth_ft(volts, condition) == feet


def test_working_space_beyond_600_volts_to_ground_is_not_in_the_table() -> None:
    assert power.working_depth_ft(601, "A") is None
