"""Electrical sums of a machine's supply: loads, currents, transformers, voltage drop.

For budgeting only: a licensed electrician sizes and connects. Numbers follow the US code; the
local code may differ, and the machine's own nameplate overrules every table.
"""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Sequence

THREE_PHASE_KVA = (15.0, 30.0, 45.0, 75.0, 112.5, 150.0, 225.0, 300.0, 500.0, 750.0, 1000.0)
"""Standard three-phase dry-type sizes [kVA]: 10 CFR 431.196(a)."""

SINGLE_PHASE_KVA = (15.0, 25.0, 37.5, 50.0, 75.0, 100.0, 167.0, 250.0, 333.0)
"""Standard single-phase dry-type sizes [kVA]: 10 CFR 431.196(a)."""

CONDUCTOR_OHM_MM2_PER_M = {"copper": 0.021445, "aluminium": 0.035243}
"""Resistivity at 75 degrees C [ohm mm2/m]: 12.9 and 21.2 ohm circular mil/ft."""

CONTINUOUS = 1.25
"""A load of three hours or more counts at 125 %: NEC 215.2(A)(1)."""

WORKING_DEPTH_FT = {"A": (3.0, 3.0), "B": (3.0, 3.5), "C": (3.0, 4.0)}
"""Clear depth by condition, up to 150 V and 151-600 V to ground [ft]: 29 CFR 1910.303(g)."""

LARGEST_VOLTS_TO_GROUND = 600.0
"""Beyond it the table of working depths does not apply [V]."""

_FEW_VOLTS = 150.0


THREE = 3
"""Phases of a three-phase supply."""


def line_kva(volts: float, amps: float, *, phases: int) -> float:
    """Apparent power of a load [kVA]: V * A * sqrt(3) / 1000, with one phase V * A / 1000.

    Parameters
    ----------
    volts
        Between the lines that the load hangs on [V].
    amps
        In each of them [A].
    phases
        Of the load, 1 or 3.
    """
    return _between_lines(phases) * volts * amps / 1000


def line_amps(kva: float, volts: float, *, phases: int) -> float:
    """Current of a load in each of its lines [A]: `line_kva` solved for it.

    A single-phase load between two lines of a three-phase supply draws kVA * 1000 / V in these
    two, sqrt(3) times what a three-phase load of the same power would.
    """
    return kva * 1000 / (_between_lines(phases) * volts)


def _between_lines(phases: int) -> float:
    return math.sqrt(3) if phases == THREE else 1.0


def supply_amps(heating_a: float, motors_a: Sequence[float], other_a: float = 0.0) -> float:
    """Least ampacity of the conductors that supply an industrial machine [A].

    Parameters
    ----------
    heating_a
        Full-load current of all resistance heating [A].
    motors_a
        Full-load currents of the motors [A].
    other_a
        Full-load current of everything else [A].

    References
    ----------
    NEC 670.4: 125 % of heating + 125 % of the largest motor + all the rest.
    """
    largest = max(motors_a, default=0.0)
    return CONTINUOUS * (heating_a + largest) + sum(motors_a) - largest + other_a


def group_kva(loads: Sequence[tuple[float, float]], diversity: float = 1.0) -> float:
    """Demand of a group of loads [kVA]: sum(connected * demand factor) / diversity factor.

    Parameters
    ----------
    loads
        Connected load [kVA] and demand factor (at most 1, multiplies) of each.
    diversity
        Diversity factor of the group, at least 1 (divides).
    """
    return sum(connected * factor for connected, factor in loads) / diversity


def service_amps(peak_a: float, new_a: Sequence[float], peak_factor: float = CONTINUOUS) -> float:
    """What an existing service must carry once the new loads are on it [A].

    Parameters
    ----------
    peak_a
        Highest demand of a measured twelve-month record [A].
    new_a
        Currents of the new loads at the service voltage [A].
    peak_factor
        Factor on the measured peak.

    References
    ----------
    NEC 220.87, from memory.
    """
    return peak_factor * peak_a + sum(new_a)


def next_size(required: float, sizes: Sequence[float]) -> float | None:
    """The smallest of the rising `sizes` that is at least `required`; none: all are smaller."""
    place = bisect_left(sizes, required - 1e-9)
    return sizes[place] if place < len(sizes) else None


def last_size(allowed: float, sizes: Sequence[float]) -> float | None:
    """The largest of the rising `sizes` that is at most `allowed`; none: all are larger."""
    place = bisect_right(sizes, allowed + 1e-9)
    return sizes[place - 1] if place else None


def primary_device_a(rated_a: float, ratings_a: Sequence[float]) -> float | None:
    """Largest primary device where the secondary is protected too [A]: 250 %, rounded down.

    References
    ----------
    NEC Table 450.3(B), in the 2026 edition Table 450.5(B).
    """
    return last_size(2.5 * rated_a, ratings_a)


def secondary_device_a(rated_a: float, ratings_a: Sequence[float]) -> float | None:
    """Largest secondary device [A]: 125 % rounded up from 9 A on, else 167 % rounded down.

    References
    ----------
    NEC Table 450.3(B), in the 2026 edition Table 450.5(B).
    """
    if rated_a >= 9:  # noqa: PLR2004 - the limit printed in the table
        return next_size(1.25 * rated_a, ratings_a)
    return last_size(1.67 * rated_a, ratings_a)


def primary_only_device_a(rated_a: float, ratings_a: Sequence[float]) -> float | None:
    """Largest primary device where the secondary has none [A].

    125 % rounded up from 9 A on, 167 % rounded down from 2 A on, 300 % rounded down below.

    References
    ----------
    NEC Table 450.3(B), in the 2026 edition Table 450.5(B).
    """
    if rated_a >= 9:  # noqa: PLR2004 - the limits printed in the table
        return next_size(1.25 * rated_a, ratings_a)
    return last_size((1.67 if rated_a >= 2 else 3.0) * rated_a, ratings_a)  # noqa: PLR2004 - same


def drop_v(amps: float, run_m: float, area_mm2: float, *, metal: str, phases: int) -> float:
    """Voltage lost along a run [V]: sqrt(3) * resistivity * I * L / area; one phase: 2 * ...

    Parameters
    ----------
    amps
        Load current [A].
    run_m
        One-way length [m].
    area_mm2
        Conductor area [mm2].
    metal
        ``"copper"`` or ``"aluminium"``.
    phases
        Of the load, 1 or 3; with one the current runs there and back.
    """
    there_and_back = math.sqrt(3) if phases == THREE else 2.0
    return there_and_back * CONDUCTOR_OHM_MM2_PER_M[metal] * amps * run_m / area_mm2


def area_for_drop_mm2(
    amps: float, run_m: float, lost_v: float, *, metal: str, phases: int
) -> float:
    """Conductor area that loses no more than `lost_v` [mm2]: `drop_v` solved for the area.

    It says nothing about how warm the conductor gets: its ampacity is another matter.
    """
    return drop_v(amps, run_m, lost_v, metal=metal, phases=phases)


def working_depth_ft(volts_to_ground: float, condition: str) -> float | None:
    """Clear depth to keep in front of electric equipment [ft]; none beyond 600 V to ground.

    Parameters
    ----------
    volts_to_ground
        277 for 480Y/277, 120 for 208Y/120, the line voltage for an ungrounded delta [V].
    condition
        ``"A"`` nothing live or grounded opposite, ``"B"`` grounded opposite (concrete, brick and
        tile count as grounded), ``"C"`` live parts on both sides.
    """
    if volts_to_ground > LARGEST_VOLTS_TO_GROUND:
        return None
    return WORKING_DEPTH_FT[condition][volts_to_ground > _FEW_VOLTS]
