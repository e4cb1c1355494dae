"""What does one package cost, whoever chose it."""

from collections.abc import Sequence

from optioneer.model.case import Case
from optioneer.study.advice.answers import PackageAnswer
from optioneer.study.worth.effort import Effort, Progress
from optioneer.study.worth.packages import asked_package, states_of
from optioneer.study.worth.site_cost import States
from optioneer.study.worth.valued import Valued, valued
from optioneer.valuation.figures.summary import spread


def package_answer(found: Valued, name: str, package: States) -> PackageAnswer:
    """What `package` costs."""
    cost = spread(found.cost(package))
    constant = float(found.constant.mean())
    pairs = list(zip(found.costs, package, strict=True))
    return PackageAnswer(
        id=name,
        options=found.options(package),
        price=found.price(package),
        npc=cost.mean,
        npc_se=cost.error,
        p10=cost.p10,
        p50=cost.p50,
        p90=cost.p90,
        cvar90=cost.worst_tenth,
        hindsight=constant
        + found.site.now(package)
        + sum(float(part.hindsight[state]) for part, state in pairs),
        rule=constant
        + float(found.site.cost(package).mean())
        + found.mix.under_rule(package)
        + sum(float(part.rule[state]) for part, state in pairs),
        learned=cost.mean,
    )


def package_value(
    case: Case,
    options: Sequence[str],
    without: Sequence[str] = (),
    *,
    order_factor: float | None = None,
    progress: Progress | None = None,
) -> PackageAnswer:
    """The cost of one package on the case's futures, the same figures as in the advice.

    Parameters
    ----------
    case
        A checked case.
    options
        Ids ordered beyond the standard items; none for the bare standard machine.
    without
        Ids of standard items left off.
    order_factor
        Present value of paying for the order, per unit of price; none: that of the plan which
        the case uses.
    progress
        Told how far the work is, 0..1.

    Raises
    ------
    RequestError
        If a name is unknown or the options cannot be ordered together.
    """
    package = asked_package(case, options, without)
    effort = Effort(also=(package,), search=False)
    found = valued(case, order_factor=order_factor, effort=effort, progress=progress)
    return package_answer(found, package.id, states_of(found, package))
