"""Units at the edge: a figure typed with its unit becomes a number in the field's own unit.

Inside, every number's unit is part of its name (``delivery_l_min``, ``mass_kg``). The units
library is imported only when somebody writes a unit that is seldom met.
"""

import math
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import Quantity, UnitRegistry

_GAUGE = re.compile(r"^\s*([1-4]/0|\d{1,2})\s*AWG\s*$", re.IGNORECASE)

_POWER = re.compile(r"(?<=[a-z])\^?([23])\b")

_WORD = re.compile(r"[A-Za-z_]+")

_SUPERSCRIPTS = str.maketrans("²³", "23")

_SPELLINGS = {
    "cfm": "foot**3/minute",
    "scfm": "foot**3/minute",
    "l/min": "liter/minute",
    "kva": "kilovolt_ampere",
    "cmil": "circular_mil",
    "sqft": "foot**2",
    "psf": "pound/foot**2",
    "gal": "gallon",
    "t": "metric_ton",
    "hp": "horsepower",
    "psi": "pound_force_per_square_inch",
    "ft": "foot",
    "in": "inch",
    "lb": "pound",
    "lbs": "pound",
    "kn": "kilonewton",
    "kpa": "kilopascal",
    "kw": "kilowatt",
    "kg": "kilogram",
}
"""What shops write, in any case, in the words of the units library.

Only names that mean one thing whatever their case: `mPa` and `MPa` are not among them.
"""

_SHOP_UNITS: Mapping[str, Mapping[str, float]] = {
    "L/min": {"cfm": 28.316846592, "l/min": 1.0},
    "L": {"gal": 3.785411784},
    "bar": {"psi": 0.06894757293168362},
    "kW": {"hp": 0.7456998715822702, "kw": 1.0},
    "kVA": {"kva": 1.0},
    "kg": {"lb": 0.45359237, "kg": 1.0, "t": 1000.0},
    "m": {"ft": 0.3048},
}
"""What one of a shop's commonest units is in the wanted one: the library is not asked for these.

NIST Special Publication 811, appendix B.
"""


@cache
def _registry() -> "UnitRegistry[float]":
    from pint import UnitRegistry  # noqa: PLC0415 - 0.3 s, needed only for a unit of one's own

    return UnitRegistry()


def awg_mm2(gauge: str) -> float:
    """Area of a round conductor by American wire gauge [mm2].

    Parameters
    ----------
    gauge
        ``"2"``, ``"1/0"`` ... ``"4/0"``.

    Notes
    -----
    Diameter = 0.127 mm * 92 ** ((36 - n) / 39), with n = 0, -1, -2, -3 for 1/0 ... 4/0.

    References
    ----------
    ASTM B258, Standard nominal diameters of solid round wires used as conductors (the defining
    formula, from memory).
    """
    number = 1 - int(gauge[0]) if gauge.endswith("/0") else int(gauge)
    diameter_mm: float = 0.127 * 92.0 ** ((36 - number) / 39)
    return math.pi / 4 * diameter_mm**2


def in_unit(figure: str, unit: str) -> float:
    """The number in `unit` that a figure with its own unit stands for.

    Parameters
    ----------
    figure
        A number, a space and a unit: ``"40 cfm"``, ``"100 psi"``, ``"25 hp"``, ``"2 AWG"``.
    unit
        The unit wanted, such as ``"L/min"``.

    Raises
    ------
    ValueError
        `figure` cannot be read, or measures something else than `unit` does.

    Examples
    --------
    >>> round(in_unit("40 cfm", "L/min"), 1)
    1132.7
    """
    gauge = _GAUGE.match(figure)
    if gauge and unit == "mm2":
        return awg_mm2(gauge[1])
    number, _, own = figure.strip().partition(" ")
    try:
        if own.lower() in (shop_units := _SHOP_UNITS.get(unit, {})):
            return float(number) * shop_units[own.lower()]
        quantity = _registry().Quantity(float(number), _spelt(own))
        magnitude: float = _weighed(quantity, _spelt(unit)).to(_spelt(unit)).magnitude
    except Exception as error:  # the library raises a dozen kinds, tokeniser's errors included
        msg = f"{figure!r} is no figure in {unit}; write a number in {unit}, or one with its unit"
        raise ValueError(msg) from error
    return magnitude


def _weighed(quantity: "Quantity[float]", unit: str) -> "Quantity[float]":
    """The same; a weight as the mass that weighs so much where `unit` asks for it, and back.

    Floors are rated in kN/m2 and kPa as often as in kg/m2, pressures in kg/cm2.
    """
    gravity = _registry().Quantity(1.0, "standard_gravity")
    wanted = _registry().Quantity(1.0, unit).dimensionality
    readings = (quantity, quantity / gravity, quantity * gravity)
    return next((one for one in readings if one.check(wanted)), quantity)


def _spelt(unit: str) -> str:
    text = unit.strip().translate(_SUPERSCRIPTS)
    whole = _SPELLINGS.get(text.lower())
    known = whole or _WORD.sub(lambda word: _SPELLINGS.get(word[0].lower(), word[0]), text)
    return _POWER.sub(r"**\1", known)
