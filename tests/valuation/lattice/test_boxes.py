"""Rows of two tables in strided views: the same pairs, none missed, none twice."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from optioneer.valuation.lattice.boxes import boxes_of


@given(st.dictionaries(st.integers(0, 60), st.integers(0, 60), max_size=40))
def test_boxes_hold_every_pair_once(pairs: dict[int, int]) -> None:
    one = np.array(sorted(pairs), dtype=np.intp)
    other = np.array([pairs[row] for row in sorted(pairs)], dtype=np.intp)
    table, read = np.arange(61.0)[:, None] + [[0.0, 0.5]], np.zeros((61, 2))
    for box in boxes_of(one, other):
        read_into = box.one.of(read)
        read_into += box.other.of(table)
    expected = np.zeros((61, 2))
    expected[one] = table[other]
    assert (read == expected).all()


def test_rows_at_equal_distances_are_one_box() -> None:
    grid = np.arange(24).reshape(2, 3, 4)
    (box,) = boxes_of(grid[:, 0].ravel(), grid[:, 2].ravel())
    assert (box.one.count, box.one.length, box.one.step) == (2, 4, 12)
