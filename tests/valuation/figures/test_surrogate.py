import numpy as np
import pytest

from optioneer.valuation.figures.surrogate import least_squares, term_count
from optioneer.valuation.worlds.futures import quasi_random

X = 2.0 * quasi_random(3, 16, seed=0) - 1.0


def of_pairs(
    x: np.ndarray[tuple[int, int], np.dtype[np.float64]],
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    return np.stack([1 + x[0] - 2 * x[1] ** 2 + 3 * x[0] * x[2], 5 * x[1] * x[2] - x[2]])


def test_a_quadratic_is_found_exactly() -> None:
    found = least_squares(X, of_pairs(X), pairs=True)
    elsewhere = np.array([[0.3, -0.9], [0.1, 0.5], [-0.7, 1.0]])
    assert found.at(elsewhere) == pytest.approx(of_pairs(elsewhere), abs=1e-12)


def test_without_pairs_what_pairs_do_is_missed() -> None:
    found = least_squares(X, of_pairs(X), pairs=False)
    assert np.abs(found.at(X) - of_pairs(X)).max() > 0.1


def test_too_few_points_are_refused() -> None:
    assert term_count(3, pairs=True) == 10
    with pytest.raises(ValueError, match="9 points cannot tell 10 terms apart"):
        least_squares(X[:, :9], of_pairs(X[:, :9]), pairs=True)


def test_without_inputs_it_is_a_constant() -> None:
    found = least_squares(np.empty((0, 1)), np.array([[4.0]]), pairs=True)
    assert found.at(np.empty((0, 3))).tolist() == [[4.0, 4.0, 4.0]]
