import pytest

from optioneer.units import _SHOP_UNITS, _registry, _spelt, awg_mm2, in_unit


@pytest.mark.parametrize(
    ("figure", "unit", "value"),
    [
        ("40 cfm", "L/min", 1132.67),
        ("1 m3/min", "L/min", 1000),
        ("100 psi", "bar", 6.8948),
        ("25 hp", "kW", 18.642),
        ("80 gal", "L", 302.83),
        ("30 kVA", "kVA", 30),
        ("250 lb/ft2", "kg/m2", 1220.6),
        ("12 ft", "m", 3.6576),
        ("9 t", "kg", 9000),
        ("66360 cmil", "mm2", 33.625),
        ("25 HP", "kW", 18.642),
        ("100 PSI", "bar", 6.8948),
        ("12 FT", "m", 3.6576),
        ("12 Ft", "m", 3.6576),
        ("100 LB", "kg", 45.359),
        ("100 lbs", "kg", 45.359),
        ("40 CFM", "L/min", 1132.67),
        ("250 LB/FT2", "kg/m2", 1220.6),
        ("10 kN/m2", "kg/m2", 1019.72),
        ("10 kN/m²", "kg/m2", 1019.72),
        ("10 kPa", "kg/m2", 1019.72),
        ("200 psf", "kg/m2", 976.49),
        ("20 kg/cm2", "MPa", 1.96133),
        ("3 MPa", "bar", 30),
    ],
)
def test_figures_with_a_unit_of_their_own(figure: str, unit: str, value: float) -> None:
    """Conversion factors: NIST Special Publication 811, appendix B."""
    assert in_unit(figure, unit) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("own", "unit"), [(own, unit) for unit, known in _SHOP_UNITS.items() for own in known]
)
def test_the_commonest_units_are_those_of_the_library(own: str, unit: str) -> None:
    told = _registry().Quantity(7.0, _spelt(own)).to(_spelt(unit)).magnitude
    assert in_unit(f"7 {own}", unit) == pytest.approx(told, rel=1e-14)
    assert in_unit(f"7 {own.upper()}", unit) == in_unit(f"7 {own}", unit)


def test_a_prefix_keeps_its_case() -> None:
    assert in_unit("3 mPa", "bar") == pytest.approx(3e-8)
    for figure in ("3 mpa", "3 MM3"):
        with pytest.raises(ValueError, match="is no figure in bar"):
            in_unit(figure, "bar")


@pytest.mark.parametrize(("gauge", "mm2"), [("10", 5.261), ("2", 33.62), ("4/0", 107.2)])
def test_wire_gauges(gauge: str, mm2: float) -> None:
    """ASTM B258 (from memory): 10 AWG 10,380, 2 AWG 66,360, 4/0 211,600 circular mils."""
    assert awg_mm2(gauge) == pytest.approx(mm2, rel=1e-3)
    assert in_unit(f"{gauge} AWG", "mm2") == awg_mm2(gauge)


@pytest.mark.parametrize("figure", ["40 kg", "forty cfm", "40 furlongs per", "", "2 AWG"])
def test_a_figure_of_another_kind_is_refused_in_words(figure: str) -> None:
    with pytest.raises(ValueError, match="is no figure in L/min"):
        in_unit(figure, "L/min")
