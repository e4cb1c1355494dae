"""Floor sums: fit, bearing pressure, clearances on the way in, skates.

A structural engineer judges slabs and foundations, a rigger plans the lift: never set feet over a
joint, crack or void, and nobody stands between a load and a wall.
"""

GRAVITY_M_S2 = 9.80665
"""Standard gravity [m/s2]."""

SKATE_LOADING = 0.8
"""Load on a skate over its rated capacity, at most."""


def floor_load_kg_m2(mass_kg: float, area_m2: float) -> float:
    """Mean load under a footprint [kg/m2]: everything that stands on it / area."""
    return mass_kg / area_m2


def foot_pressure_mpa(mass_kg: float, feet: int, pad_m2: float, *, uneven: float = 1.0) -> float:
    """Pressure under one foot [MPa]: mass * g / feet / pad area * uneven-share factor.

    Parameters
    ----------
    mass_kg
        All that stands on the feet [kg].
    pad_m2
        Contact area of one foot [m2].
    uneven
        Factor for the feet that carry more than their share on an uneven floor, at least 1.
    """
    return mass_kg * GRAVITY_M_S2 / feet / pad_m2 * uneven / 1e6


def with_service_m(
    length_m: float, width_m: float, service_m: tuple[float, float, float, float]
) -> tuple[float, float]:
    """Length and width with service space [m]; `service_m`: left, right, front, back."""
    left, right, front, back = service_m
    return length_m + left + right, width_m + front + back


def skate_rating_kg(mass_kg: float, points: int) -> float:
    """Least rated capacity of each skate [kg].

    Three points carry a third each; of four, two diagonal ones may carry everything.
    """
    carrying = 3 if points == 3 else 2  # noqa: PLR2004 - three points cannot rock
    return mass_kg / carrying / SKATE_LOADING
