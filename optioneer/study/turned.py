"""Whether the way of paying changes what to order."""

from collections.abc import Mapping
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.study.advise import advice
from optioneer.study.answers import Advice, Verdict
from optioneer.study.ordered import used_factor, used_plan
from optioneer.study.valued import Progress


@dataclass(frozen=True)
class AdviceUnder:
    """The advice that counts on one way of paying.

    Parameters
    ----------
    advice
        Under the plan.
    plan
        Its id; none: all is paid at the order.
    factor
        Present value of the plan per unit of price.
    turned
        By option, its verdict when all is paid at the order, where that is another one.
    """

    advice: Advice
    plan: str | None
    factor: float
    turned: Mapping[str, Verdict]


def advice_under(
    case: Case,
    plan: str | None = None,
    *,
    budget: float | None = None,
    progress: Progress | None = None,
) -> AdviceUnder:
    """The advice under a plan, and the verdicts that it turns.

    Parameters
    ----------
    case
        A checked case.
    plan
        Id; none: the one that the case uses, or all paid at the order. A plan that is asked for
        is compared with paying all at the order.
    budget
        Limit on the price of the package, if any [money].
    progress
        Told how far the work is, 0..1.

    Raises
    ------
    RequestError
        There is no such plan, or no package can be had within the budget.
    TooLargeError
        A cluster of related slots is too large to be swept.
    """
    used, factor = used_plan(case, plan), used_factor(case, plan)
    parts = 1 if plan is None else 2
    given = advice(case, budget=budget, order_factor=factor, progress=_part(progress, 0, parts))
    if plan is None:
        return AdviceUnder(given, used, factor, {})
    at_once = advice(case, budget=budget, progress=_part(progress, 1, parts))
    return AdviceUnder(given, used, factor, turned_verdicts(at_once, given))


def turned_verdicts(before: Advice, after: Advice) -> dict[str, Verdict]:
    """By option, its verdict `before` where `after` has another one."""
    now = {answer.option: answer.verdict for answer in after.options}
    return {
        answer.option: answer.verdict
        for answer in before.options
        if answer.verdict != now[answer.option]
    }


def _part(progress: Progress | None, number: int, parts: int) -> Progress | None:
    """Progress of one of several equal parts of the work."""
    if progress is None:
        return None
    return lambda done: progress((number + done) / parts)
