"""Rows of two tables that belong together, in as few strided views as possible.

numpy adds and compares whole blocks of rows at the speed of the machine, lists of rows far slower.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Indices


@dataclass(frozen=True)
class EvenRows:
    """Some rows of a table: `count` runs of `length` rows, `step` rows from one to the next."""

    start: int
    step: int
    count: int
    length: int

    def of(self, table: NDArray[Any]) -> NDArray[Any]:
        """These rows of a table of shape (rows, n), not copied: (count, length, n)."""
        if self.count == 1:
            return table[self.start : self.start + self.length]
        row = table.strides[0]
        return np.ndarray(
            (self.count, self.length, table.shape[1]),
            table.dtype,
            table,
            self.start * row,
            (self.step * row, row, table.itemsize),
        )


@dataclass(frozen=True)
class Box:
    """Rows of one table, and as many of another that belong to them one by one."""

    one: EvenRows
    other: EvenRows


def boxes_of(one: Indices, other: Indices) -> tuple[Box, ...]:
    """Pairs of rows as boxes.

    Parameters
    ----------
    one, other
        Row in each of the two tables of every pair, `one` rising.
    """
    if not len(one):
        return ()
    breaks = (np.diff(one) != 1) | (np.diff(other) != 1)
    starts = np.concatenate([[0], np.flatnonzero(breaks) + 1])
    lengths = np.diff(np.concatenate([starts, [len(one)]]))
    runs = np.stack([one[starts], other[starts], lengths])
    found, at = list[Box](), 0
    while at < len(starts):
        count = _regular(runs[:, at:])
        found.append(_box(runs[:, at : at + count]))
        at += count
    return tuple(found)


def _box(runs: Indices) -> Box:
    """One box of equal runs: their first rows in both tables and their lengths, shape (3, n)."""
    count, (first, second, length) = runs.shape[1], (int(each) for each in runs[:, 0])
    steps = runs[:2, min(1, count - 1)] - runs[:2, 0]
    return Box(
        EvenRows(first, int(steps[0]), count, length),
        EvenRows(second, int(steps[1]), count, length),
    )


def _regular(runs: Indices) -> int:
    """How many of the first runs are equally long and equally far apart."""
    if runs.shape[1] == 1 or runs[2, 0] != runs[2, 1]:
        return 1
    gaps = np.diff(runs, axis=1)
    other = np.flatnonzero((gaps != gaps[:, :1]).any(axis=0))
    return int(other[0]) + 1 if len(other) else runs.shape[1]


@dataclass(frozen=True)
class Reach:
    """States that one retrofit leads to at one charge: boxes from the states to a list of them."""

    target: int
    eased: bool
    boxes: tuple[Box, ...]


@dataclass(frozen=True)
class SlotMoves:
    """What the retrofits of one slot lead to, and what they lead from.

    Parameters
    ----------
    size
        Length of the list of what is led to.
    reaches
        Which states it holds, one for each retrofit and charge.
    lowered
        States from which a retrofit leads to an item of the list.
    """

    size: int
    reaches: tuple[Reach, ...]
    lowered: tuple[Box, ...]


@dataclass(frozen=True)
class Lead:
    """Where one retrofit leads at one charge.

    Parameters
    ----------
    target, eased
        The retrofit, and whether something fitted eases it.
    before, after
        States, shape (n,) each, `before` rising.
    level
        Of the slot before, shape (n,).
    """

    target: int
    eased: bool
    before: Indices
    after: Indices
    level: Indices


def slot_moves(leads: Iterable[Lead]) -> SlotMoves:
    """The moves of a slot from where its retrofits lead."""
    reaches, lowered, size = list[Reach](), list[Box](), 0
    for lead in leads:
        there, place = np.unique(lead.after, return_inverse=True)
        boxes = boxes_of(there, size + np.arange(len(there)))
        reaches.append(Reach(lead.target, lead.eased, boxes))
        for level in np.unique(lead.level):  # from two levels to one state: no regular rows
            own = lead.level == level
            lowered += boxes_of(lead.before[own], size + place[own])
        size += len(there)
    return SlotMoves(size, tuple(reaches), tuple(lowered))
