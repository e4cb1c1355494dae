"""Scrambled Sobol points, the same to the last bit as those of scipy, without its statistics.

Importing `scipy.stats` takes longer than all points of a case.
"""

from functools import lru_cache

import numpy as np
import scipy
from numpy.typing import NDArray

from optioneer.arrays import Floats

BITS = 30
"""Binary digits of a point: it is the lower end of a cell of this size."""

_TABLE = f"{scipy.__path__[0]}/stats/_sobol_direction_numbers.npz"

_Whole = NDArray[np.uint32]


def sobol_points(dimensions: int, size: int, rng: np.random.Generator) -> Floats:
    """The first points of a sequence scrambled by `rng`, between 0 and 1, shape (d, size).

    Parameters
    ----------
    dimensions
        d >= 1.
    rng
        Whose child scrambles: a shift and a lower triangular matrix of bits a dimension.

    Notes
    -----
    Points are in the order of the Gray code: each differs from the one before it by the direction
    number of the lowest 0 bit of that one's index.

    References
    ----------
    Joe & Kuo, "Constructing Sobol sequences with better two-dimensional projections", SIAM Journal
    on Scientific Computing 30 (2008) 2635-2654: the direction numbers. Matousek, "On the
    L2-discrepancy for anchored boxes", Journal of Complexity 14 (1998) 527-556: the scrambling.
    """
    own = rng.spawn(1)[0]
    shift = own.integers(2, size=(dimensions, BITS), dtype=np.uint32) @ _POWERS
    lower = own.integers(2, size=(dimensions, BITS, BITS), dtype=np.uint32) * _BELOW
    directions = _scrambled(_directions(dimensions), lower)
    steps = np.empty((dimensions, size), dtype=np.uint32)
    steps[:, 0] = shift
    steps[:, 1:] = directions[:, _lowest_zero(size - 1)]
    np.bitwise_xor.accumulate(steps, axis=1, out=steps)
    return np.asarray(steps * 2.0**-BITS, dtype=np.float64)


_POWERS = 2 ** np.arange(BITS, dtype=np.uint32)
_BELOW = np.tril(np.ones((BITS, BITS), dtype=np.uint32))


@lru_cache(maxsize=8)
def _lowest_zero(count: int) -> NDArray[np.intp]:
    """Place of the lowest 0 bit of 0, 1, ... count - 1."""
    index = np.arange(count)
    lowest = ~index & (index + 1)
    return np.asarray(np.frexp(lowest.astype(np.float64))[1] - 1, dtype=np.intp)


def _scrambled(directions: _Whole, lower: _Whole) -> _Whole:
    """Bits of the direction numbers, highest first, times the matrices with 1 on the diagonal."""
    lower[:, np.arange(BITS), np.arange(BITS)] = 1
    bits = (directions[:, None, :] >> _POWERS_LEFT[:, None]) & 1
    # Sums of 30 zeros and ones are whole in any kind of float.
    product = (lower.astype(np.float32) @ bits.astype(np.float32)).astype(np.uint32) & 1
    return np.asarray((product << _POWERS_LEFT[:, None]).sum(axis=1, dtype=np.uint32))


_POWERS_LEFT = np.arange(BITS - 1, -1, -1, dtype=np.uint32)


@lru_cache(maxsize=8)
def _directions(dimensions: int) -> _Whole:
    """Direction numbers of the first dimensions, shape (d, bits)."""
    polynomials, first = _table(dimensions)
    found = np.ones((dimensions, BITS), dtype=np.uint32)
    for row, polynomial in enumerate(polynomials[1:].tolist(), 1):
        found[row] = _recurrence(polynomial, first[row].tolist())
    found <<= _POWERS_LEFT
    return found


def _recurrence(polynomial: int, first: list[int]) -> list[int]:
    """Direction numbers of one dimension, not yet shifted to their places."""
    degree = polynomial.bit_length() - 1
    numbers = first[:degree]
    for j in range(degree, BITS):
        new = numbers[j - degree]
        for k in range(degree):
            if polynomial >> (degree - 1 - k) & 1:
                new ^= numbers[j - k - 1] << (k + 1)
        numbers.append(new)
    return numbers


def _table(dimensions: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Primitive polynomials and first direction numbers, as scipy holds them."""
    with np.load(_TABLE) as table:
        return table["poly"][:dimensions], table["vinit"][:dimensions]
