"""What moves the advice: every figure from one end of its range to the other, alone."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.whatif.answers import Ends, OneAtATime, OtherwiseEnds
from optioneer.study.whatif.baseline import Stakes, stakes_of
from optioneer.study.whatif.ranges import Ranged, ranged_figures
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.revalued import FigureChanges

FUTURES = 1024
"""Futures that ranges are looked at with, unless others are asked for."""

SHARE_OF_ADVICE = 0.2
"""Part of the work that comes before the ranges."""

CENT = 0.01
"""Smaller moves are rounding [money]."""


def one_at_a_time(
    case: Case,
    figures: Sequence[Ranged] | None = None,
    *,
    futures: int = FUTURES,
    progress: Progress | None = None,
) -> OneAtATime:
    """The advice on `case` at both ends of the range of every figure.

    Parameters
    ----------
    case
        A checked case.
    figures
        What is varied, from `ranged_figures`; none: all figures, as far as usual.
    futures
        Number of futures to value changed figures on; no more than the case has.
    progress
        Told how far the work is, 0..1.

    Raises
    ------
    RequestError
        If an end of a range or the number of futures is not allowed.
    CaseError
        If the case does not fit together at an end of a range.
    TooLargeError
        If a cluster of related slots is too large to be swept.

    Notes
    -----
    A changed figure is valued on the same draws, with a policy learned for it, but only in the
    clusters that it touches. The advised package stays; the verdict on an option turns where the
    best package with the other choice becomes cheaper than the best with the choice advised.
    """
    figures = ranged_figures(case) if figures is None else figures
    for each in figures:
        for end in (each.low, each.high):
            with_changes(case, [Asked(each.figure, end)])
    stakes = stakes_of(case, futures, progress=part_of(progress, 0.0, SHARE_OF_ADVICE))
    here = stakes.numbers(stakes.base)
    told = []
    for number, each in enumerate(figures, 1):
        told.append(_ends(stakes, each, here))
        if progress is not None:
            progress(SHARE_OF_ADVICE + (1.0 - SHARE_OF_ADVICE) * number / len(figures))
    return OneAtATime(
        case=case.name,
        currency=case.machine.currency,
        futures=stakes.pieces.case.growth.futures,
        seed=case.growth.seed,
        advised=stakes.advised,
        npc=float(here[0]),
        site_kept=stakes.site_kept,
        options=stakes.stands(),
        figures=tuple(sorted(told, key=lambda ends: (-ends.moves, ends.what, ends.name))),
    )


def changed_numbers(stakes: Stakes, changes: FigureChanges) -> Floats:
    """The numbers at stake once `changes` are made, shape (1 + C,)."""
    pieces = stakes.pieces
    touched = set().union(*(pieces.touched(figure) for figure in changes))
    means = list(stakes.base)
    with parallel() as run:
        order = sorted(touched)
        for piece, mean in zip(order, run(lambda i: pieces.means(i, changes), order), strict=True):
            means[piece] = mean
    return stakes.numbers(means)


@dataclass(frozen=True)
class _Numbers:
    """The numbers at stake at both ends and here."""

    low: Floats
    here: Floats
    high: Floats

    def turned(self, end: Floats) -> Floats:
        """Whether each other choice is better at `end` and is not here, or the other way."""
        return np.asarray((end < -CENT) != (self.here < -CENT))


def _ends(stakes: Stakes, ranged: Ranged, here: Floats) -> Ends:
    low, high = (
        here if value == ranged.here else changed_numbers(stakes, {ranged.figure: value})
        for value in (ranged.low, ranged.high)
    )
    numbers = _Numbers(low, here, high)
    names = [choice.option for choice in stakes.choices]
    npc = (float(low[0]), float(here[0]), float(high[0]))
    moved = np.maximum(np.abs(low - here), np.abs(high - here))[1:] > CENT
    low_turned, high_turned = numbers.turned(low)[1:], numbers.turned(high)[1:]
    return Ends(
        what=ranged.figure.what,
        name=ranged.figure.name,
        here=ranged.here,
        low=ranged.low,
        high=ranged.high,
        npc_low=npc[0],
        npc_high=npc[2],
        moves=max(npc) - min(npc),
        otherwise=tuple(
            OtherwiseEnds(option=name, at_low=float(low[row]), at_high=float(high[row]))
            for row, name in enumerate(names, 1)
            if moved[row - 1]
        ),
        turned_low=tuple(n for n, turns in zip(names, low_turned, strict=True) if turns),
        turned_high=tuple(n for n, turns in zip(names, high_turned, strict=True) if turns),
    )
