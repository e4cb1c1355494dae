"""What does this package cost, whoever chose it."""

from collections.abc import Sequence

from optioneer.model.case import Case
from optioneer.study.advise import package_answer
from optioneer.study.answers import PackageAnswer
from optioneer.study.choose import asked_package, states_of
from optioneer.study.effort import Effort
from optioneer.study.valued import Progress, valued


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
