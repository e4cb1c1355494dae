import pytest

from optioneer.units import awg_mm2, in_unit


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
    ],
)
def test_figures_with_a_unit_of_their_own(figure: str, unit: str, value: float) -> None:
    """Conversion factors: NIST Special Publication 811, appendix B."""
    assert in_unit(figure, unit) == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(("gauge", "mm2"), [("10", 5.261), ("2", 33.62), ("4/0", 107.2)])
def test_wire_gauges(gauge: str, mm2: float) -> None:
    """ASTM B258 (from memory): 10 AWG 10,380, 2 AWG 66,360, 4/0 211,600 circular mils."""
    assert awg_mm2(gauge) == pytest.approx(mm2, rel=1e-3)
    assert in_unit(f"{gauge} AWG", "mm2") == awg_mm2(gauge)


@pytest.mark.parametrize("figure", ["40 kg", "forty cfm", "40 furlongs per", "", "2 AWG"])
def test_a_figure_of_another_kind_is_refused_in_words(figure: str) -> None:
    with pytest.raises(ValueError, match="is no figure in L/min"):
        in_unit(figure, "L/min")
