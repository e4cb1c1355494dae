"""Work that the kinds of options propose: what a way may be, and how finely amounts are told."""

import pytest

from optioneer.study.start.work import two_digits


@pytest.mark.parametrize(
    ("amount", "told"),
    [(12_345.0, 12_000.0), (87.6, 88.0), (0.0456, 0.05), (0.001, 0.01), (0.0, 0.0), (-3.0, 0.0)],
)
def test_an_amount_that_is_only_roughly_known_is_told_to_two_digits(
    amount: float, told: float
) -> None:
    assert two_digits(amount) == pytest.approx(told, abs=0.006)
