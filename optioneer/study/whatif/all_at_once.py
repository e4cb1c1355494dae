"""What moves the advice: all figures varied together, and how much of it each explains."""

import time
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats
from optioneer.errors import RequestError
from optioneer.study.answer import draws_of
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.problem.executor import Pool, opened, work_map
from optioneer.study.unknowns.ranges import Ranged, ranged_figures
from optioneer.study.whatif.added import turned_away
from optioneer.study.whatif.answers import AllTogether, Explained, OptionSpread, Spread, Varied
from optioneer.study.whatif.baseline import Baseline, baseline_of
from optioneer.study.whatif.trials import TogetherRequest, Trials
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.revaluation import HOURS, PieceErrand, piece_means, pieces_of
from optioneer.valuation.figures.sobol import Split, variance_split
from optioneer.valuation.figures.surrogate import Quadratic, least_squares, term_count
from optioneer.valuation.timing.policy import Mapper
from optioneer.valuation.worlds.futures import quasi_random

SPARE = 1.3
"""Valuations of a cluster for each term of its surrogate, ..."""
SPARE_MORE = 6
"""... and some more."""

AT_ONCE = 8
"""Valuations between two looks at the clock."""

MOST_TERMS = 600
"""With more terms the surrogate of a cluster has no pairs of figures."""

ADVISED, FITTED, SPLIT = 0.1, 0.7, 0.8
"""Shares of the work that are done after the advice, the valuations, the split."""


def all_together(
    request: TogetherRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> AllTogether:
    """How much of the variance of each number at stake each figure explains.

    `pool`: who values; none: this process. The answer is the same.

    Raises
    ------
    RequestError
        If nothing is varied.
    TooLargeError
        If a cluster of related slots is too large to be swept.

    Notes
    -----
    The figures are independent and uniform over their ranges. The mean cost of every state of a
    cluster is smooth in the few figures that touch the cluster; a quadratic with all pairs of them
    stands in for it, fitted to valuations at quasi-random points. What is best is then chosen
    among the states anew at every point, so that kinks stay. At some further points the whole case
    is valued on all its futures: `error` tells what few futures and the quadratic put off.
    """
    case, effort = request.counted, request.trials
    chosen = ranged_figures(case) if request.ranges is None else request.ranges
    varied = tuple(each for each in chosen if each.figure.what not in {"horizon", *HOURS})
    if not varied:
        raise RequestError("Only the horizon is left, or hours: look at them one at a time.")
    clock = _Clock(effort.seconds)
    heard = clock.heard(part_of(progress, 0.0, ADVISED))
    with opened(pool) as far:
        baseline = baseline_of(case, effort.futures, progress=heard, far=far)
        limits = _Limits(clock, far)
        stand_in = _stand_in(baseline, varied, limits, part_of(progress, ADVISED, FITTED))
        split = variance_split(
            stand_in.numbers, len(varied), points=effort.points, seed=case.growth.seed
        )
        rest = part_of(progress, SPLIT, 1.0)
        if rest is not None:
            rest(0.0)
        checked, errors = _errors(stand_in, effort.checked, limits, rest)
    return _answer(stand_in, split, errors, replace(effort, checked=checked))


class _Clock:
    """Whether the time is up."""

    def __init__(self, seconds: float | None) -> None:
        self.seconds = seconds
        self.end = None if seconds is None else time.monotonic() + seconds

    def check(self) -> None:
        """Go on while there is time.

        Raises
        ------
        RequestError
            It is up before there is anything to tell.
        """
        if self.up:
            raise RequestError(
                f"--seconds {self.seconds:g}: the time was up before the figures had been varied "
                "once. Give more, or fewer --futures, or --only some of the figures."
            )

    def heard(self, progress: Progress | None) -> Progress:
        """Progress that ends the work when the time is up."""

        def told(done: float) -> None:
            self.check()
            if progress is not None:
                progress(done)

        return told

    @property
    def up(self) -> bool:
        return self.end is not None and time.monotonic() > self.end


@dataclass(frozen=True)
class _Limits:
    """How long the valuations may take, and who makes them; none: this process."""

    clock: _Clock
    far: Mapper | None


@dataclass(frozen=True)
class _StandIn:
    """The numbers at stake as a quick function of the figures.

    Parameters
    ----------
    rows
        By piece, which figures touch it.
    quadratics
        By piece, the mean cost of its states that can be ordered.
    valuations
        That the quadratics rest on.
    """

    baseline: Baseline
    varied: tuple[Ranged, ...]
    rows: tuple[tuple[int, ...], ...]
    quadratics: tuple[Quadratic, ...]
    valuations: int

    def numbers(self, shares: Floats) -> Floats:
        """The numbers at stake, shape (1 + C, n), at shares of the ranges, shape (D, n)."""
        means = []
        for rows, quadratic, base in zip(
            self.rows, self.quadratics, self.baseline.base, strict=True
        ):
            mean = np.full((len(base), shares.shape[1]), np.inf)
            mean[np.isfinite(base)] = quadratic.at(2.0 * shares[list(rows)] - 1.0)
            means.append(mean)
        return self.baseline.numbers(means)

    def changes(self, shares: Floats) -> dict[Figure, float]:
        """The figures at shares of their ranges, shape (D,)."""
        return {
            each.figure: each.at(float(share))
            for each, share in zip(self.varied, shares, strict=True)
        }

    @cached_property
    def pairs(self) -> bool:
        """Whether every quadratic knows of pairs, where there are any."""
        return all(
            quadratic.pairs or len(rows) < 2  # noqa: PLR2004 - two make a pair
            for rows, quadratic in zip(self.rows, self.quadratics, strict=True)
        )


def _stand_in(
    baseline: Baseline, varied: tuple[Ranged, ...], limits: _Limits, progress: Progress | None
) -> _StandIn:
    """Fitted without pairs first, then, while there is time, with them."""
    touched = [baseline.pieces.changed_pieces(each.figure) for each in varied]
    rows = tuple(
        tuple(i for i, pieces in enumerate(touched) if piece in pieces)
        for piece in range(baseline.pieces.count)
    )
    fits = [_Fit(baseline, varied, piece, own) for piece, own in enumerate(rows)]
    work = [(fit, pairs) for pairs in (False, True) for fit in fits]
    total = sum(fit.wanted(pairs=True) for fit in fits)
    with work_map(limits.far, baseline.pieces.size) as run:
        for fit, pairs in work:
            fit.enlarge(fit.wanted(pairs=pairs), run, limits.clock, needed=not pairs)
            if progress is not None:
                progress(sum(len(each.values) for each in fits) / total)
    quadratics = tuple(fit.quadratic for fit in fits)
    valuations = sum(len(fit.values) for fit in fits)
    return _StandIn(baseline, varied, rows, quadratics, valuations)


class _Fit:
    """The valuations of one piece at points of a sequence, more and more of them."""

    def __init__(
        self, baseline: Baseline, varied: tuple[Ranged, ...], piece: int, rows: tuple[int, ...]
    ) -> None:
        self.pieces, self.piece = baseline.pieces, piece
        self.varied = [varied[row] for row in rows]
        self.kept = np.isfinite(baseline.base[piece])
        most = max(self.wanted(pairs=False), self.wanted(pairs=True))
        seed = baseline.pieces.case.growth.seed
        self.shares = quasi_random(len(rows), most, seed=seed)
        self.values: list[Floats] = []

    def wanted(self, *, pairs: bool) -> int:
        """Valuations that the surrogate with or without pairs is fitted to."""
        inputs = len(self.varied)
        if not inputs:
            return 1
        both = term_count(inputs, pairs=pairs and term_count(inputs, pairs=True) <= MOST_TERMS)
        return int(SPARE * both) + SPARE_MORE

    def enlarge(self, count: int, run: Mapper, clock: _Clock, *, needed: bool) -> None:
        """Value the piece at the points up to `count`, or while there is time.

        Raises
        ------
        RequestError
            All of them are needed, and there is no time.
        """
        while len(self.values) < count and (needed or not clock.up):
            if needed:
                clock.check()
            more = min(count, len(self.values) + AT_ONCE)
            errands = map(self._errand, range(len(self.values), more))
            self.values.extend(means[self.kept] for means in run(piece_means, errands))

    def _errand(self, point: int) -> PieceErrand:
        shares = self.shares[:, point]
        changes = tuple(
            (each.figure, each.at(float(share)))
            for each, share in zip(self.varied, shares, strict=True)
        )
        return PieceErrand(self.pieces.case, self.piece, changes)

    @property
    def quadratic(self) -> Quadratic:
        """The surrogate, with pairs where there are points enough."""
        x = 2.0 * self.shares[:, : len(self.values)] - 1.0
        y = np.stack(self.values, axis=1)
        enough = max(self.wanted(pairs=True), term_count(len(x), pairs=True))
        return least_squares(x, y, pairs=len(self.values) >= enough)


def _errors(
    stand_in: _StandIn, count: int, limits: _Limits, progress: Progress | None
) -> tuple[int, Floats | None]:
    """How many points were valued in full while there was time, and how far each number is off.

    The latter is the root of the mean square, shape (1 + C,).
    """
    if not count:
        return 0, None
    found = stand_in.baseline.advised.found
    # Other points than those that the surrogate is fitted to.
    shares = quasi_random(len(stand_in.varied), count, seed=found.case.growth.seed + 1)
    told = stand_in.numbers(shares)
    off: list[Floats] = []
    for point in range(count):
        if limits.clock.up:
            break
        off.append(told[:, point] - _in_full(stand_in, shares[:, point], limits.far))
        if progress is not None:
            progress((point + 1) / count)
    if not off:
        return 0, None
    return len(off), np.asarray(np.sqrt(np.mean(np.square(off), axis=0)))


def _in_full(stand_in: _StandIn, shares: Floats, far: Mapper | None) -> Floats:
    found, changes = stand_in.baseline.advised.found, tuple(stand_in.changes(shares).items())
    pieces = pieces_of(found.case)
    errands = [PieceErrand(found.case, i, changes) for i in range(pieces.count)]
    with work_map(far, pieces.size) as run:
        means = list(run(piece_means, errands))
    return stand_in.baseline.numbers(means, stand_in.baseline.advised.means)


def _answer(stand_in: _StandIn, split: Split, errors: Floats | None, effort: Trials) -> AllTogether:
    baseline, advised = stand_in.baseline, stand_in.baseline.advised
    here = baseline.numbers(baseline.base)
    spreads = [_spread(stand_in, split, errors, row) for row in range(len(here))]
    turned = turned_away(split.base).mean(axis=1)
    options = [
        OptionSpread(
            **dict(spreads[row]),
            option=choice.option,
            verdict=choice.verdict,
            otherwise=float(here[row]),
            turned=float(turned[row]),
        )
        for row, choice in enumerate(advised.choices, 1)
    ]
    return AllTogether(
        **draws_of(baseline.pieces.case),
        points=effort.points,
        valuations=stand_in.valuations,
        pairs=stand_in.pairs,
        checked=effort.checked,
        checked_futures=advised.found.case.growth.futures,
        advised=advised.options,
        site_kept=advised.site_kept,
        varied=tuple(Varied(**each.told, why=each.why) for each in stand_in.varied),
        npc=spreads[0],
        options=tuple(sorted(options, key=lambda each: (-each.turned, each.option))),
    )


def _spread(stand_in: _StandIn, split: Split, errors: Floats | None, row: int) -> Spread:
    values = split.base[row]
    explained = [
        Explained(
            what=each.figure.what,
            name=each.figure.name,
            first=float(split.first.share[row, i]),
            first_low=float(split.first.low[row, i]),
            first_high=float(split.first.high[row, i]),
            total=float(split.total.share[row, i]),
            total_low=float(split.total.low[row, i]),
            total_high=float(split.total.high[row, i]),
        )
        for i, each in enumerate(stand_in.varied)
        if split.total.share[row, i] > 0.0
    ]
    p10, p90 = np.quantile(values, [0.1, 0.9])
    return Spread(
        mean=float(values.mean()),
        deviation=float(split.deviation[row]),
        p10=float(p10),
        p90=float(p90),
        error=None if errors is None else float(errors[row]),
        figures=tuple(sorted(explained, key=lambda each: (-each.total, each.what, each.name))),
    )
