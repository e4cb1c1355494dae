"""What it costs when first chips come a week later."""

from datetime import timedelta

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.bargain.answers import Week
from optioneer.study.compare.one_calendar import one_calendar
from optioneer.study.problem.effort import Effort
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.summary import standard_error

FUTURES = 1024
"""Futures that it is told from at most: both dates meet the same ones."""

WEEK = timedelta(days=7)


def week_later(case: Case, package: Package) -> Week:
    """What `package` leaves as dated less what it leaves with first chips a week later.

    Parameters
    ----------
    case
        A checked and dated case.

    Notes
    -----
    Work that comes meanwhile waits; the end is one date; the order and the days on which the dealer
    is paid before delivery stay.
    """
    few = with_draws(case, min(FUTURES, case.growth.futures))
    first = few.dates.first_chips_date
    dates = few.dates.model_copy(update={"first_chips": first + WEEK, "lead": None})
    late = few.model_copy(update={"dates": dates})
    calendar = one_calendar((few, late))
    soon = valued_case(few, effort=Effort(swept=None))
    then = valued_case(calendar.on(late), start=calendar.start(late), effort=Effort(swept=None))
    lost = _kept(soon, package) - _kept(then, package)
    return Week(costs=float(lost.mean()), costs_se=standard_error(lost), futures=few.growth.futures)


def _kept(found: Valued, package: Package) -> Floats:
    """What is left of all work once all is paid, shape (N,) [money]."""
    return found.outcome(states_of(found, package))
