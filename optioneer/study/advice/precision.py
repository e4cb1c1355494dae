"""As many futures as it takes for the answer to be sure enough."""

import math
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.study.advice.advise import CENT, advice_on, advice_with
from optioneer.study.advice.answers import Advice, Precision
from optioneer.study.problem.clusters import LARGEST_SWEEP, clusters, must_be_swept, package_count
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.valued import Valued, valued
from optioneer.valuation.figures.summary import interval_errors

MOST_FUTURES = 65536
"""Futures that are drawn at most."""


@dataclass(frozen=True)
class Aim:
    """How sure the answer shall be.

    Parameters
    ----------
    share
        Half of the 95 % interval of the advised package's NPC, as a share of that NPC; none:
        until no verdict is a close call.
    """

    share: float | None = None

    def reached(self, answer: Advice) -> bool:
        """Whether `answer` is sure enough."""
        if self.share is None:
            return not unsettled_verdicts(answer)
        return half_interval(answer) <= self.share

    def expected(self, answer: Advice) -> int:
        """Futures that are likely to do, for the errors fall with their root at least."""
        if self.share is None:
            return MOST_FUTURES
        return math.ceil(answer.futures * (half_interval(answer) / self.share) ** 2)


def half_interval(answer: Advice) -> float:
    """Half of the 95 % interval of the advised package's NPC, as a share of that NPC."""
    advised = answer.advised
    half = interval_errors(answer.futures) * advised.npc_se
    return half / abs(advised.npc) if advised.npc else math.inf


def precise_advice(
    case: Case,
    aim: Aim,
    *,
    budget: float | None = None,
    order_factor: float | None = None,
    break_even: bool = False,
    prove: bool = False,
    progress: Progress | None = None,
) -> Advice:
    """The advice on `case` with twice the futures until it is sure enough.

    Parameters
    ----------
    case
        A checked case; its own number of futures is tried first.
    aim
        How sure the answer shall be.
    budget, order_factor, break_even, prove, progress
        As for ``advise.advice``.

    Returns
    -------
    Advice
        On the last number of futures tried; `precision` says whether they were enough. At most
        65,536 are drawn, fewer where the largest cluster has many packages.

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    must_be_swept(case, "--precision")
    found, answer, tries = _settled(case, aim, budget, order_factor, progress)
    how = Precision(
        asked=aim.share,
        reached=half_interval(answer),
        close_calls=unsettled_verdicts(answer),
        tries=tries,
        enough=aim.reached(answer),
    )
    answer = answer.model_copy(update={"precision": how})
    return advice_with(found, answer, break_even=break_even, prove=prove)


def _settled(
    case: Case,
    aim: Aim,
    budget: float | None,
    order_factor: float | None,
    progress: Progress | None,
) -> tuple[Valued, Advice, tuple[int, ...]]:
    """The case valued on the last number of futures tried, the advice, and all numbers tried."""
    most, count = most_futures(case), case.growth.futures
    expected = most if aim.share is None else count
    done, tries = 0.0, list[int]()
    while True:
        tries.append(count)
        ahead = done + (1.0 - done) * min(count / expected, 1.0)
        found = valued(
            with_draws(case, count),
            order_factor=order_factor,
            progress=part_of(progress, done, ahead),
        )
        answer = advice_on(found, budget=budget)
        if aim.reached(answer) or 2 * count > most:
            return found, answer, tuple(tries)
        count, done, expected = 2 * count, ahead, min(aim.expected(answer), most)


def most_futures(case: Case) -> int:
    """Futures that can be drawn for `case`: its largest cluster must still be held at once."""
    return min(MOST_FUTURES, LARGEST_SWEEP // max(map(package_count, clusters(case)), default=1))


def unsettled_verdicts(answer: Advice) -> int:
    """Verdicts that more futures might settle; exact ties are none."""
    return sum(
        option.close_call and not (abs(option.otherwise or 0.0) < CENT and not option.otherwise_se)
        for option in answer.options
    )
