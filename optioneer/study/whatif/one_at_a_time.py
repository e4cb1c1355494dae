"""What moves the advice: every figure from one end of its range to the other, alone."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.answer import draws_of
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.problem.executor import Pool, opened, work_map
from optioneer.study.problem.futures import with_draws
from optioneer.study.problem.request import Request
from optioneer.study.unknowns.ranges import Ranged, ranged_figures
from optioneer.study.whatif.added import CENT, AtStake, costs_added, numbers_with
from optioneer.study.whatif.answers import Ends, OneAtATime, OtherwiseEnds
from optioneer.study.whatif.baseline import AdvisedCase, advised_on
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure, figure_of
from optioneer.study.worth.revaluation import PieceErrand, piece_costs, pieces_of
from optioneer.valuation.timing.policy import Mapper

FUTURES = 1024
"""Futures that close calls are looked at with, unless others are asked for."""

GLANCE = 8
"""Of them one in so many is looked at first, ..."""
FEWEST_GLANCED = 128
"""... but no fewer than so many."""

SHARE_OF_ADVICE, SHARE_OF_GLANCE = 0.25, 0.75
"""Parts of the work that are done after the advice and after the first look."""


@dataclass(frozen=True)
class RangesRequest(Request):
    """What moves the advice, each figure alone, is asked.

    Parameters
    ----------
    ranges
        What is varied, from `ranged_figures`; none: all figures, as far as usual.
    sample
        Number of futures to look at close calls with; no more than the case has.
    """

    ranges: tuple[Ranged, ...] | None = None
    sample: int = FUTURES


def one_at_a_time(
    request: RangesRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> OneAtATime:
    """The advice on a case at both ends of the range of every figure.

    `pool`: who values the changed figures; none: this process. The answer is the same.

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
    What a change adds is met in the first of the case's futures, with it and without, under
    policies learned for each, and only in the clusters that it touches; the advised package stays.
    The verdict on an option turns where the best package with the other choice becomes cheaper
    than the best with the choice advised. Where few futures leave open which it is, more of them
    are looked at.
    """
    case = request.counted
    figures = ranged_figures(case) if request.ranges is None else request.ranges
    for each in figures:
        for end in (each.low, each.high):
            with_changes(case, [Asked(each.figure, end)])
    most = min(request.sample, case.growth.futures)
    with_draws(case, most)  # refused before anything is valued
    first, rest = part_of(progress, 0.0, SHARE_OF_ADVICE), part_of(progress, SHARE_OF_ADVICE, 1.0)
    with opened(pool) as far:
        advised = advised_on(case, progress=first, far=far)
        looks = _Looks(advised, figures, far)
        few = min(max(most // GLANCE, FEWEST_GLANCED), most)
        glance = part_of(rest, 0.0, SHARE_OF_GLANCE if few < most else 1.0)
        looks.look(looks.every_place(few), few, glance)
        if few < most:
            looks.look(looks.close_calls(), most, part_of(rest, SHARE_OF_GLANCE, 1.0))
    told = [_ends(looks, each) for each in figures]
    return OneAtATime(
        **{**draws_of(case), "futures": most},
        glanced=few,
        advised=advised.options,
        npc=advised.npc,
        site_kept=advised.site_kept,
        options=advised.stands(),
        figures=tuple(sorted(told, key=lambda ends: (-ends.moves, ends.what, ends.name))),
    )


_Change = tuple[Figure, float]
"""A figure and its value at an end of its range."""

_Place = tuple[_Change, int]
"""A change and a piece that it touches."""


class _Looks:
    """What each change adds, from the most futures that it has been looked at with."""

    def __init__(self, advised: AdvisedCase, figures: Sequence[Ranged], far: Mapper | None) -> None:
        self.advised, self.far = advised, far
        ends = ((each, value) for each in figures for value in (each.low, each.high))
        self.added: dict[_Change, dict[int, Floats]] = {
            self._change(each, value): {} for each, value in ends if not _is_here(each, value)
        }

    def every_place(self, first: int) -> list[_Place]:
        """All that the changes touch."""
        pieces = pieces_of(self.advised.found.case, first)
        return [
            (change, piece) for change in self.added for piece in pieces.changed_pieces(change[0])
        ]

    def close_calls(self) -> list[_Place]:
        """Where a change leaves open which choice is the better one."""
        return [(change, piece) for change in self.added for piece in self._close(change)]

    def _close(self, change: _Change) -> list[int]:
        close = numbers_with(self.advised, self.added[change]).close(self.advised.told)
        choices = zip(self.advised.choices, close, strict=True)
        return sorted({choice.cluster for choice, open_yet in choices if open_yet})

    def look(self, places: Sequence[_Place], first: int, progress: Progress | None) -> None:
        """Value what the changes touch in the first so many futures, with them and without."""
        case = self.advised.found.case
        touched = sorted({piece for _, piece in places})
        errands = [PieceErrand(case, piece, first=first) for piece in touched]
        errands += [PieceErrand(case, piece, (change,), first) for change, piece in places]
        found = list[Floats]()
        with work_map(self.far, pieces_of(case, first).size) as run:
            for costs in run(piece_costs, errands):
                found.append(costs)
                if progress is not None:
                    progress(len(found) / len(errands))
        base = dict(zip(touched, found, strict=False))
        for (change, piece), costs in zip(places, found[len(touched) :], strict=True):
            self.added[change][piece] = costs_added(costs, base[piece])

    def numbers(self, ranged: Ranged, value: float) -> AtStake:
        """With a figure at one end of its range."""
        here = _is_here(ranged, value)
        return numbers_with(self.advised, {} if here else self.added[self._change(ranged, value)])

    def _change(self, ranged: Ranged, value: float) -> _Change:
        """The change, or another of the same worth: price later counts times the multiplier."""
        figure = ranged.figure
        if figure.what == "later-price" and ranged.here > 0.0:
            multiplier = Figure("multiplier", figure.name)
            likeliest = figure_of(self.advised.found.case, multiplier)
            if likeliest > 0.0:
                return multiplier, round(likeliest * (value / ranged.here), 9)
        return figure, round(value, 9)


def _is_here(ranged: Ranged, value: float) -> bool:
    return value == ranged.here and not ranged.figure.known


def _ends(looks: _Looks, ranged: Ranged) -> Ends:
    here = looks.advised.told
    low, high = (looks.numbers(ranged, value) for value in (ranged.low, ranged.high))
    names = [choice.option for choice in looks.advised.choices]
    npc = (float(low.values[0]), float(here[0]), float(high.values[0]))
    moved = np.maximum(np.abs(low.values - here), np.abs(high.values - here))[1:] > CENT
    return Ends(
        **ranged.told,
        why=ranged.why,
        npc_low=npc[0],
        npc_low_se=float(low.errors[0]),
        npc_high=npc[2],
        npc_high_se=float(high.errors[0]),
        moves=max(npc) - min(npc),
        otherwise=tuple(
            OtherwiseEnds(
                option=names[row],
                at_low=float(low.values[row + 1]),
                at_low_se=float(low.errors[row + 1]),
                at_high=float(high.values[row + 1]),
                at_high_se=float(high.errors[row + 1]),
            )
            for row in np.flatnonzero(moved)
        ),
        turned_low=tuple(np.compress(low.turned, names).tolist()),
        turned_high=tuple(np.compress(high.turned, names).tolist()),
    )
