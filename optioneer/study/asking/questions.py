"""What to ask next: the figures whose truth is worth most before the order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.fact import triangular
from optioneer.study.advice.advice import LESSONS
from optioneer.study.advice.verdicts import ShortAdvice, short_advice_on
from optioneer.study.asking.answer_rules import RULES
from optioneer.study.asking.answers import NextQuestion, Questions, VerdictTurn, one_choices
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.effort import Effort, Progress, part_of
from optioneer.study.problem.executor import Pool, opened, work_map
from optioneer.study.problem.futures import FEWEST_LESSONS, with_draws
from optioneer.study.problem.request import Request
from optioneer.study.unknowns.answers import HangsOn, WorthOfFigure
from optioneer.study.unknowns.effects import Effect
from optioneer.study.unknowns.ranges import Ranged, Spreads
from optioneer.study.unknowns.unknowns import Unknowns, figures_unseen, unknowns_of
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.figures import Figure, What
from optioneer.study.worth.revaluation import PieceErrand, piece_means, pieces_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.timing.policy import Mapper

LEAST_SHARE = 0.002
"""Part of the price that a question must be worth to be asked."""

RISKED = 0.005
"""Part of the price that an order may cost beyond the best in the worst hundredth of what is
believed; beyond it questions go on although none, on average, pays for itself. Half of the
hundredth that an order may miss, for what figures do is told to first order (`Effect`)."""

ADDS, ADDS_RARELY = 0.05, 0.005
"""Parts of `least` that a figure must add to the others: where it is worth as much to know all; and
where no such figure is left and a rare loss is, to which it adds little on average."""

FEW = 256
"""Futures on which figures are valued anew that the futures themselves tell nothing of: both ends
and the middle meet the same ones, so that few tell much."""

FIRST = 0.4
"""Part of the work that comes before those figures."""


@dataclass(frozen=True)
class AskRequest(Request):
    """What is worth asking next is asked.

    Parameters
    ----------
    settled
        Figures that are known for sure: nothing is asked of them.
    quick
        Whether to leave out figures that only valuing anew tells of.
    spreads
        How far figures may be off that are not told as a range.
    """

    settled: frozenset[Figure] = frozenset()
    quick: bool = False
    spreads: Spreads = field(default_factory=Spreads)


def next_questions(
    request: AskRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> Questions:
    """The figures that are worth asking for, the most first.

    Parameters
    ----------
    pool
        Who values; none: this process. The answer is the same.

    Raises
    ------
    TooLargeError
        If a cluster of related slots is too large to be swept.

    Notes
    -----
    The worth of a question is the expected value of partial perfect information over all packages,
    see `worth_of_knowing`.
    """
    case = request.counted
    must_be_swept(case, "What to ask next")
    advice, known = _advice_and_unknowns(request, progress, pool)
    least = LEAST_SHARE * advice.advised.price
    turned = {
        one.option: known.hangs_on(one.option, one.otherwise)
        for one in advice.options
        if one.otherwise is not None
    }
    unsure = _unsure(request, known)
    told, together = unsure.worths(turned), unsure.together
    asked = [one for one in told if one.worth >= least]
    rest = sorted((one for one in told if one.worth < least), key=lambda one: -one.adds)
    if together.everything >= least:
        asked += [one for one in rest if one.adds >= ADDS * least]
    if not asked and together.worst_hundredth >= RISKED * advice.advised.price:
        asked = [one for one in rest if one.adds >= ADDS_RARELY * least]
    return Questions(
        case=case.name,
        currency=case.machine.currency,
        futures=case.growth.futures,
        seed=case.growth.seed,
        price=advice.advised.price,
        least=least,
        everything=together.everything,
        worst_hundredth=together.worst_hundredth,
        questions=tuple(
            NextQuestion(
                **dict(one),
                who=RULES[one.what].who,
                form=RULES[one.what].form,
                turning=_turning(advice, turned, one),
            )
            for one in asked
        ),
        figures=len(told),
        below=len(told) - len(asked),
        together=tuple(c for c in one_choices(advice.options) if len(c) > 1),
        beyond=beyond_the_end(case),
    )


def _advice_and_unknowns(
    request: AskRequest, progress: Progress | None, pool: Pool | None
) -> tuple[ShortAdvice, Unknowns]:
    first, rest = part_of(progress, 0.0, FIRST), part_of(progress, FIRST, 1.0)
    with opened(pool) as far:
        found = valued_case(
            request.counted,
            effort=Effort(swept=None),
            fewest_lessons=LESSONS if request.quick else FEWEST_LESSONS,
            progress=first,
            far=far,
        )
        return short_advice_on(found), known_of(request, found, progress=rest, far=far)


def _turning(
    advice: ShortAdvice, turned: Mapping[str, Sequence[HangsOn]], asked: WorthOfFigure
) -> tuple[VerdictTurn, ...]:
    """Where along a figure verdicts turn, in the order of the options."""
    return tuple(
        VerdictTurn(option=one.option, verdict=one.verdict, at=on.turns_at, side=on.turns)
        for one in advice.options
        for on in turned.get(one.option, ())
        if (on.what, on.name) == (asked.what, asked.name)
    )


def _unsure(request: AskRequest, known: Unknowns) -> Unknowns:
    """The same without figures that are known for sure, or that are asked for by another name."""
    figures = ((effect, effect.ranged.figure) for effect in known.effects)
    left = (effect for effect, own in figures if _is_asked(request, own.what, own.name))
    return replace(known, effects=tuple(left))


def _is_asked(request: AskRequest, what: What, name: str) -> bool:
    """Whether a figure is one to ask for; a later price is asked for by its multiplier."""
    settled = any((each.what, each.name) == (what, name) for each in request.settled)
    return what != "later-price" and not settled


def known_of(
    request: AskRequest,
    found: Valued,
    *,
    progress: Progress | None = None,
    far: Mapper | None = None,
) -> Unknowns:
    """What the figures of a valued case do.

    Parameters
    ----------
    found
        Its case, valued.
    far
        Workers, from `executor.opened`; none: this process.
    """
    chosen = best_package(found)
    with parallel():  # products of matrices on one thread each
        known = unknowns_of(found, chosen, spreads=request.spreads)
    if request.quick:
        return known
    left = figures_unseen(found, known.effects, request.spreads)
    return replace(known, effects=(*known.effects, *_effects(found, left, progress, far)))


def _effects(
    found: Valued, figures: Sequence[Ranged], progress: Progress | None, far: Mapper | None
) -> tuple[Effect, ...]:
    """The effects of figures, valued anew at both ends of their ranges on few futures."""
    pieces = pieces_of(with_draws(found.case, min(FEW, found.case.growth.futures)))
    clusters = range(len(found.costs))
    places = [
        (each, piece, end)
        for each in figures
        for piece in sorted(pieces.changed_pieces(each.figure) & set(clusters))
        for end in (each.low, each.high)
    ]
    errands = [PieceErrand(pieces.case, piece) for piece in clusters]
    errands += [PieceErrand(pieces.case, i, ((each.figure, end),)) for each, i, end in places]
    means = list[Floats]()
    with work_map(far, pieces.size) as run:
        for mean in run(piece_means, errands):
            means.append(mean)
            if progress is not None:
                progress(len(means) / len(errands))
    base, moved = means[: len(clusters)], iter(means[len(clusters) :])
    told: dict[Ranged, dict[int, Floats]] = {each: {} for each in figures}
    for each, piece, _ in places[::2]:
        told[each][piece] = _ends(found.means[piece], base[piece], (next(moved), next(moved)))
    return tuple(_effect(found, each, own) for each, own in told.items())


def _ends(here: Floats, base: Floats, moved: tuple[Floats, Floats]) -> Floats:
    """Mean cost of the states of a piece at `low`, here and at `high`, shape (P, 3) [money].

    `moved` are those at both ends and `base` those here on fewer futures, shape (P,) each.
    """
    able = np.isfinite(here)
    told = np.repeat(here[:, None], 3, axis=1)
    for column, mean in zip((0, 2), moved, strict=True):
        told[able, column] += mean[able] - base[able]
    return told


def _effect(found: Valued, ranged: Ranged, means: dict[int, Floats]) -> Effect:
    able = {cluster: np.isfinite(found.means[cluster]) for cluster in means}
    return Effect(ranged, means, able)


def beyond_the_end(case: Case) -> tuple[str, ...]:
    """Streams that likely come only after the stay of the machine or the years looked ahead."""
    horizon, kept = case.growth.horizon_years, case.machine.kept_years
    end = horizon if kept is None else min(horizon, triangular(kept).likely)
    return tuple(stream.id for stream in case.growth.stream if stream.years.likely >= end)
