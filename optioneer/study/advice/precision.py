"""As many futures as it takes for the answer to be sure enough."""

from dataclasses import replace

from optioneer.model.case import Case
from optioneer.study.advice.answers import Precision
from optioneer.study.advice.package_choice import Advised
from optioneer.study.advice.request import (
    MOST_FUTURES,
    AdviceRequest,
    Aim,
    half_interval,
    unsettled_verdicts,
)
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.problem.clusters import LARGEST_SWEEP, clusters, must_be_swept
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.problem.futures import with_draws
from optioneer.study.problem.related import package_count
from optioneer.study.worth.pursed import valued_as_paid

NEARLY = 0.9
"""Part of what is left that one more try takes at most, as long as others may follow."""


def precise_advice(
    request: AdviceRequest, aim: Aim, *, progress: Progress | None = None
) -> Advised:
    """The advice with twice the futures until it is sure enough.

    Parameters
    ----------
    request
        What is asked; the case's own number of futures is tried first.

    Returns
    -------
    Advised
        On the last number of futures tried; `precision` says whether they were enough. At most
        65,536 are drawn, fewer where the largest cluster has many packages.

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    must_be_swept(request.counted, "--precision")
    last, tries = _sure_advice_and_tries(request, aim, progress)
    how = Precision(
        asked=aim.share,
        reached=half_interval(last.advice),
        close_calls=unsettled_verdicts(last.advice),
        tries=tries,
        enough=aim.is_reached(last.advice),
    )
    return replace(last, advice=last.advice.model_copy(update={"precision": how}))


def _sure_advice_and_tries(
    request: AdviceRequest, aim: Aim, progress: Progress | None
) -> tuple[Advised, tuple[int, ...]]:
    """The advice on the last number of futures tried, and all numbers tried."""
    case = request.counted
    most, count = most_futures(case), case.growth.futures
    expected = most if aim.share is None else count
    done, tries = 0.0, list[int]()
    while True:
        tries.append(count)
        last = 2 * count > most
        ahead = done + (1.0 - done) * (1.0 if last else min(count / expected, NEARLY))
        found = valued_as_paid(with_draws(case, count), progress=part_of(progress, done, ahead))
        answer = advice_on(found, budget=request.budget)
        if last or aim.is_reached(answer):
            if progress is not None and not last:
                progress(1.0)
            return Advised(found, answer), tuple(tries)
        count, done, expected = 2 * count, ahead, min(aim.likely_futures(answer), most)


def most_futures(case: Case) -> int:
    """Futures that can be drawn for `case`: its largest cluster must still be held at once."""
    return min(MOST_FUTURES, LARGEST_SWEEP // max(map(package_count, clusters(case)), default=1))
