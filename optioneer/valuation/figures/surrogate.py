"""A quadratic that stands in for something slow, fitted to some of its values."""

from dataclasses import dataclass
from itertools import combinations

import numpy as np

from optioneer.arrays import Floats


def term_count(inputs: int, *, pairs: bool) -> int:
    """Number of terms: a constant, each input and its square, and the products of pairs.

    Examples
    --------
    >>> terms(3, pairs=True)
    10
    """
    return 1 + 2 * inputs + (inputs * (inputs - 1) // 2 if pairs else 0)


def basis(x: Floats, *, pairs: bool) -> Floats:
    """The terms at `x`, shape (D, n), as rows, shape (terms, n)."""
    rows = [np.ones((1, x.shape[1])), x, x**2]
    chosen = np.array(list(combinations(range(len(x)), 2)), dtype=np.intp).reshape(-1, 2)
    if pairs:
        rows.append(x[chosen[:, 0]] * x[chosen[:, 1]])
    return np.concatenate(rows)


@dataclass(frozen=True)
class Quadratic:
    """P smooth functions of D inputs.

    Parameters
    ----------
    weights
        Of the terms, shape (terms, P).
    pairs
        Whether products of pairs are among the terms.
    """

    weights: Floats
    pairs: bool

    def at(self, x: Floats) -> Floats:
        """The functions at `x`, shape (D, n), as rows, shape (P, n)."""
        return np.asarray(self.weights.T @ basis(x, pairs=self.pairs))


def least_squares(x: Floats, y: Floats, *, pairs: bool) -> Quadratic:
    """Least squares.

    Parameters
    ----------
    x
        Points, shape (D, n), best within -1..1.
    y
        Values there, shape (P, n).
    pairs
        Whether products of pairs are among the terms.

    Raises
    ------
    ValueError
        If there are fewer points than terms.
    """
    rows = basis(x, pairs=pairs)
    if rows.shape[1] < len(rows):
        raise ValueError(f"{rows.shape[1]} points cannot tell {len(rows)} terms apart")
    weights, *_ = np.linalg.lstsq(rows.T, y.T)
    return Quadratic(np.asarray(weights, dtype=np.float64), pairs)
