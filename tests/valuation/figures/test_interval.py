"""How wide a 95 % interval is that is told from the spread of a few independent sets."""

import pytest

from optioneer.valuation.figures.summary import interval_errors


@pytest.mark.parametrize(
    ("futures", "quantile"), [(4096, 2.131), (64, 2.131), (32, 2.365), (16, 3.182), (8, 12.706)]
)
def test_students_quantile_for_one_set_less(futures: int, quantile: float) -> None:
    """Student's table, two-sided 95 %, 15, 7, 3 and 1 degrees of freedom (from memory)."""
    assert interval_errors(futures) == pytest.approx(quantile, abs=5e-4)
