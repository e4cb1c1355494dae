"""The discount that makes another quote as good as this one."""

from collections.abc import Sequence
from math import hypot

from optioneer.dates import DAYS_PER_YEAR
from optioneer.model.case import Case
from optioneer.study.bargain.answers import LevelQuote
from optioneer.study.cash.financing import shop_rate, used_factor
from optioneer.study.compare.answers import Compared, Comparison, Quote
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.compare.currencies import Exchange
from optioneer.study.problem.effort import Progress

ADVISED = "advised"


def level_quotes(
    case: Case,
    others: Sequence[Case],
    *,
    exchange: Exchange,
    progress: Progress | None = None,
) -> tuple[LevelQuote, ...]:
    """How far each other quote is from this one, and what levels it.

    Parameters
    ----------
    case
        The one that is bargained about.
    others
        Those of other dealers, on the growth of `case`.
    exchange
        Rates, where they are in other currencies.

    Raises
    ------
    RequestError, CaseError
        As for `comparison`.

    Notes
    -----
    A discount on the whole leaves resale and retrofits alone, so that it counts in proportion.
    """
    if not others:
        return ()
    request = ComparisonRequest((case, *others), packages=("base",), exchange=exchange)
    told = comparison(request, progress=progress)
    return tuple(_level(told, case, other) for other in others)


def _level(told: Comparison, case: Case, other: Case) -> LevelQuote:
    here, there = _advised(told, case), _advised(told, other)
    beyond = there.over_best - here.over_best
    return LevelQuote(
        case=other.name,
        currency=other.machine.currency,
        beyond=beyond,
        beyond_se=_error(here, there),
        price=there.quoted_price,
        discount=beyond / _counts(told, other) if beyond > 0.0 else None,
        own_discount=-beyond / _counts(told, case) if beyond < 0.0 else None,
    )


def _advised(told: Comparison, case: Case) -> Compared:
    own = (package for package in told.packages if package.case == case.name)
    return next(one for one in own if ADVISED in {one.id, *one.also})


def _error(one: Compared, other: Compared) -> float:
    """Standard error of the difference; of two that are both not the best no less than it."""
    return hypot(one.over_best_se, other.over_best_se)


def _counts(told: Comparison, case: Case) -> float:
    """What one unit of money off the price of a quote counts on the common calendar."""
    quotes: dict[str, Quote] = {quote.case: quote for quote in told.quotes}
    first = min(quote.order for quote in told.quotes)
    years = (quotes[case.name].order - first).days / DAYS_PER_YEAR
    later = float((1.0 + shop_rate(case)) ** -years)
    return used_factor(case) * later * quotes[case.name].rate
