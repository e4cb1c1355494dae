"""What becomes of the money when things come otherwise than planned."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from optioneer.errors import CaseError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.cash.answers import DatedCost, PlanCash
from optioneer.study.cash.cash import cash
from optioneer.study.cash.dates import Delay
from optioneer.study.cash.plans import paying_of
from optioneer.study.cash.works import site_works

USUAL: Mapping[str, Delay] = {
    "machine 4 weeks early": Delay(machine_weeks=-4),
    "machine 8 weeks late": Delay(machine_weeks=8),
    "acceptance refused, 6 weeks later": Delay(acceptance_weeks=6),
    "rates one point higher": Delay(rate_points=0.01),
}
"""What is asked when nothing else is."""


@dataclass(frozen=True)
class DelayedPlan:
    """One plan under one delay.

    Parameters
    ----------
    delay
        In words.
    planned, delayed
        The plan as planned, and under the delay; none where it cannot be kept.
    """

    delay: str
    plan: str
    planned: PlanCash
    delayed: PlanCash | None
    fault: str = ""


def delayed_plans(
    case: Case,
    package: Package,
    *,
    delays: Mapping[str, Delay] = USUAL,
    works: Sequence[DatedCost] | None = None,
) -> tuple[DelayedPlan, ...]:
    """Every plan under every delay, each plan by itself.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    delays
        By words for them.
    works
        Further dated costs, which stay where they are; none: those of the site.

    Raises
    ------
    RequestError
        The case tells no way of paying.
    """
    works = site_works(case, package) if works is None else works
    return tuple(
        one
        for plan in paying_of(case).plan
        for one in _of_plan(with_only(case, plan.id), package, delays, works)
    )


def with_only(case: Case, plan: str) -> Case:
    """The same case with one way of paying, which the advice need not count on."""
    paying = paying_of(case)
    kept = tuple(one for one in paying.plan if one.id == plan)
    alone = paying.model_copy(update={"plan": kept, "use": None})
    return case.model_copy(update={"paying": alone})


def _of_plan(
    case: Case, package: Package, delays: Mapping[str, Delay], works: Sequence[DatedCost]
) -> Iterator[DelayedPlan]:
    try:
        (planned,) = cash(case, package, works=works).answer.plans
    except CaseError:
        return  # it does not fit as it is, which its own study says
    for words, delay in delays.items():
        try:
            (delayed,) = cash(case, package, works=works, delay=delay).answer.plans
        except CaseError as error:
            yield DelayedPlan(words, planned.id, planned, None, str(error.faults[0]))
        else:
            yield DelayedPlan(words, planned.id, planned, delayed)
