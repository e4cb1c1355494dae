"""What moves the advice: every figure from one end of its range to the other, alone."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.answer import draws_of
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.problem.executor import Pool, opened, work_map
from optioneer.study.problem.request import Request
from optioneer.study.unknowns.ranges import Ranged, ranged_figures
from optioneer.study.whatif.answers import Ends, OneAtATime, OtherwiseEnds
from optioneer.study.whatif.baseline import Baseline, baseline_of
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure, figure_of
from optioneer.study.worth.revaluation import PieceErrand, piece_means
from optioneer.valuation.timing.policy import Mapper

FUTURES = 1024
"""Futures that ranges are looked at with, unless others are asked for."""

SHARE_OF_ADVICE = 0.2
"""Part of the work that comes before the ranges."""

CENT = 0.01
"""Smaller moves are rounding [money]."""


@dataclass(frozen=True)
class RangesRequest(Request):
    """What moves the advice, each figure alone, is asked.

    Parameters
    ----------
    ranges
        What is varied, from `ranged_figures`; none: all figures, as far as usual.
    sample
        Number of futures to value changed figures on; no more than the case has.
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
    A changed figure is valued on the same draws, with a policy learned for it, but only in the
    clusters that it touches. The advised package stays; the verdict on an option turns where the
    best package with the other choice becomes cheaper than the best with the choice advised, told
    from what the advice says of them on all its futures.
    """
    case = request.counted
    figures = ranged_figures(case) if request.ranges is None else request.ranges
    for each in figures:
        for end in (each.low, each.high):
            with_changes(case, [Asked(each.figure, end)])
    first, rest = part_of(progress, 0.0, SHARE_OF_ADVICE), part_of(progress, SHARE_OF_ADVICE, 1.0)
    with opened(pool) as far:
        baseline = baseline_of(case, request.sample, progress=first, far=far)
        valued = _Valued(baseline)
        valued.look(figures, far, rest)
    told = [_ends(valued, each) for each in figures]
    return OneAtATime(
        **draws_of(baseline.pieces.case),
        advised=baseline.advised,
        npc=float(valued.here[0]),
        site_kept=baseline.site_kept,
        options=baseline.stands(),
        figures=tuple(sorted(told, key=lambda ends: (-ends.moves, ends.what, ends.name))),
    )


def turned_away(numbers: Floats) -> Bools:
    """Whether each choice that is not advised is the better one, any shape."""
    return np.asarray(numbers < -CENT)


class _Valued:
    """The numbers at stake with one figure changed, each valued once."""

    def __init__(self, baseline: Baseline) -> None:
        self.baseline = baseline
        self.here = baseline.numbers(baseline.base)
        self._found: dict[tuple[Figure, float], Floats] = {}

    def look(
        self, figures: Sequence[Ranged], far: Mapper | None, progress: Progress | None
    ) -> None:
        """Value both ends of the ranges of some figures, each piece that they touch alone."""
        wanted: dict[tuple[Figure, float], tuple[Figure, float]] = {}
        for ranged in figures:
            for value in (ranged.low, ranged.high):
                if not self._is_here(ranged, value):
                    figure, same = self._same(ranged, value)
                    wanted.setdefault((figure, round(same, 9)), (figure, same))
        pieces, asked = self.baseline.pieces, list(wanted.values())
        places = [
            (n, i) for n, (figure, _) in enumerate(asked) for i in pieces.changed_pieces(figure)
        ]
        errands = [PieceErrand(pieces.case, i, (asked[n],)) for n, i in places]
        means = [list(self.baseline.base) for _ in asked]
        with work_map(far) as run:
            for done, ((n, i), mean) in enumerate(
                zip(places, run(piece_means, errands), strict=True), 1
            ):
                means[n][i] = mean
                if progress is not None:
                    progress(done / len(places))
        numbers = map(self.baseline.numbers, means)
        self._found = dict(zip(wanted, numbers, strict=True))

    def numbers(self, ranged: Ranged, value: float) -> Floats:
        """With a figure at one end of its range."""
        if self._is_here(ranged, value):
            return self.here
        figure, same = self._same(ranged, value)
        return self._found[figure, round(same, 9)]

    @staticmethod
    def _is_here(ranged: Ranged, value: float) -> bool:
        return value == ranged.here and not ranged.figure.known

    def _same(self, ranged: Ranged, value: float) -> tuple[Figure, float]:
        """The change, or another of the same worth: price later counts times the multiplier."""
        figure = ranged.figure
        if figure.what == "later-price" and ranged.here > 0.0:
            multiplier = Figure("multiplier", figure.name)
            likeliest = figure_of(self.baseline.found.case, multiplier)
            if likeliest > 0.0:
                return multiplier, likeliest * (value / ranged.here)
        return figure, value


def _ends(valued: _Valued, ranged: Ranged) -> Ends:
    here = valued.here
    low, high = (valued.numbers(ranged, value) for value in (ranged.low, ranged.high))
    names = [choice.option for choice in valued.baseline.choices]
    npc = (float(low[0]), float(here[0]), float(high[0]))
    moved = np.maximum(np.abs(low - here), np.abs(high - here))[1:] > CENT
    low_turned, high_turned = turned_away(low)[1:], turned_away(high)[1:]
    return Ends(
        **ranged.told,
        why=ranged.why,
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
