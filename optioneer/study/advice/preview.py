"""The advice on fewer futures, fast enough to follow a slider."""

from optioneer.model.case import Case
from optioneer.study.advice.advise import quick_advice_on
from optioneer.study.advice.answers import Advice
from optioneer.study.problem.effort import Effort, Progress
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.valued import Valued, valued

PREVIEWED = 512
"""Futures that a preview is valued on; standard errors are some three times those of 4,096."""
LESSONS = 256
"""Futures that a preview's retrofit policy is learned from at least: on the mill-turn demo a third
less work than with four times as many, and the same verdicts."""

SEARCHED = 5.0
"""Time that a search takes at most where too many options hang together [s]."""


def preview(
    case: Case,
    *,
    futures: int = PREVIEWED,
    budget: float | None = None,
    progress: Progress | None = None,
) -> Advice:
    """The advice on `case`, valued on no more than so many of its futures.

    Parameters
    ----------
    case
        A checked case.
    futures
        Futures to value on; a case with fewer keeps its own number.
    budget
        Limit on the price of the package, if any [money].
    progress
        Told how far the work is; it may raise to stop it.

    Returns
    -------
    Advice
        Its `futures` tells how many there were, and its standard errors are theirs. What the
        likeliest future alone would order and what each stream is worth to know are left out.

    Notes
    -----
    Draws hang on the number of futures and the seed alone, so that two previews differ by what was
    changed and not by chance. They are kept from one preview to the next.

    Raises
    ------
    RequestError
        If no package can be had within the budget, or `futures` is out of bounds.
    """
    few = previewed(case, futures=futures, budget=budget, progress=progress)
    return quick_advice_on(few, budget=budget)


def previewed(
    case: Case,
    *,
    futures: int = PREVIEWED,
    budget: float | None = None,
    progress: Progress | None = None,
) -> Valued:
    """Every package of `case` valued on no more than so many of its futures; see `preview`."""
    few = with_draws(case, min(futures, case.growth.futures))
    effort = Effort(seconds=SEARCHED, budget=budget)
    return valued(few, effort=effort, fewest_lessons=LESSONS, progress=progress)
