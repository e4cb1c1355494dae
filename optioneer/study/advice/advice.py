"""The advice: a request in, what to order now, what to leave for a retrofit, what to leave off."""

import math
from dataclasses import replace

from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.advice.breakeven import with_break_evens
from optioneer.study.advice.package import asked_answer
from optioneer.study.advice.package_choice import Advised, asked_by_name, weighed_package
from optioneer.study.advice.precision import precise_advice
from optioneer.study.advice.proof import proof, unproven
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Clock, Effort, Progress, part_of
from optioneer.study.problem.executor import Pool, opened
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.pursed import valued_as_paid
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.timing.policy import Mapper

SHARE_OF_ADVICE = 0.05
"""Part of the work that comes before the search for break-evens."""

PREVIEWED = 512
"""Futures that a preview is valued on; standard errors are some three times those of 4,096."""
LESSONS = 256
"""Futures that a preview's retrofit policy is learned from at least: on the mill-turn demo a third
less work than with four times as many, and the same verdicts."""

SEARCHED = 5.0
"""Time that the search of a preview takes at most [s]."""


def advice(
    request: AdviceRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> Advice:
    """The advice that is asked for.

    `pool`: who sweeps the clusters and looks for break-evens; none: this process. The answer is
    the same.

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    TooLargeError
        If a cluster has too many packages for break-evens, a precision or caution.
    """
    return advice_with_values(request, progress=progress, pool=pool).advice


def advice_with_values(
    request: AdviceRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> Advised:
    """The same with every package valued, for whoever asks on."""
    clock = Clock(math.inf if request.seconds is None else request.seconds)
    if request.break_even:
        must_be_swept(request.counted, "--break-even", request.seconds)
    first = part_of(progress, 0.0, SHARE_OF_ADVICE) if request.break_even else progress
    rest = part_of(progress, SHARE_OF_ADVICE, 1.0)
    with opened(pool) as far:
        before = _advice_for(request, first, far)
        answer = with_proof_and_break_evens(before, request, clock=clock, progress=rest, far=far)
    return replace(before, advice=answer)


def _advice_for(request: AdviceRequest, progress: Progress | None, far: Mapper | None) -> Advised:
    if request.weight is not None:
        from optioneer.study.advice.cautious import (  # noqa: PLC0415 - its solvers load slowly
            cautious_advice,
        )

        return cautious_advice(request, request.weight, progress=progress)
    if request.aim is not None:
        return precise_advice(request, request.aim, progress=progress)
    found = valued_as_paid(request.counted, effort=request.effort, progress=progress, far=far)
    return Advised(found, advice_on(found, budget=request.budget))


def with_proof_and_break_evens(
    before: Advised,
    request: AdviceRequest,
    *,
    clock: Clock | None = None,
    progress: Progress | None = None,
    far: Mapper | None = None,
) -> Advice:
    """The advice with break-evens and the proof of its gap where they are asked for.

    `clock` says how long break-evens may be searched for; none: as long as it takes. `far` are
    workers that do so.

    After a search the answer has its gap already.
    """
    found, answer = before.valued, before.advice
    if request.prove and request.weight is None and answer.search is None:
        answer = _with_proof(found, answer)
    if request.break_even:
        return with_break_evens(found, answer, clock=clock, progress=progress, far=far)
    return answer


def _with_proof(found: Valued, answer: Advice) -> Advice:
    chosen = best_package(found, budget=answer.budget)
    shown = proof(found, chosen, answer.advised, budget=answer.budget)

    def gap_of(option: str) -> float:
        return shown.by_cluster[found.cluster_of(found.problem.options.index(option))]

    options = unproven(answer.options, gap_of)
    return answer.model_copy(update={"proof": shown.answer, "options": options})


def preview_of(request: AdviceRequest, *, progress: Progress | None = None) -> Valued:
    """Every package valued on few of the futures, fast enough to follow a slider.

    Notes
    -----
    Draws hang on the number of futures and the seed alone, so that two previews differ by what was
    changed and not by chance. They are kept from one preview to the next.
    """
    few = replace(request, futures=min(PREVIEWED, request.counted.growth.futures))
    effort = Effort(seconds=SEARCHED, budget=request.budget)
    return valued_as_paid(few.counted, effort=effort, fewest_lessons=LESSONS, progress=progress)


def package_value(request: PackageRequest, *, progress: Progress | None = None) -> PackageAnswer:
    """The cost of one package, the same figures as in the advice without a budget.

    Raises
    ------
    RequestError
        If a name is unknown or the options cannot be ordered together.
    """
    case = request.counted
    named = asked_by_name(case, request.package, request.without)
    if named is None:
        weighed, found = weighed_package(case, request.package, progress=progress)
        return asked_answer(found, weighed)
    effort = Effort(also=(named,), search=False)
    return asked_answer(valued_as_paid(case, effort=effort, progress=progress), named)
