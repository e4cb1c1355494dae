"""Leases: when the rents fall due, and the interest that is in them."""

from collections.abc import Iterator, Sequence
from datetime import date

from optioneer.dates import DAYS_PER_YEAR, plus_months
from optioneer.money.cents import rounded
from optioneer.money.discount import Dated
from optioneer.money.rates import dated_rates


def rent_dates(start: date, *, rents: int, in_advance: int, every_months: int = 1) -> list[date]:
    """Nominal day of each of `rents` rents.

    Parameters
    ----------
    in_advance
        How many of them are paid on the first day. 0: rents are paid at the end of each period;
        1: at its start; more: the last ones are paid ahead too.
    every_months
        Months from one rent to the next.

    Examples
    --------
    >>> [day.isoformat() for day in rent_dates(date(2027, 1, 31), rents=4, in_advance=2)]
    ['2027-01-31', '2027-01-31', '2027-02-28', '2027-03-31']
    """
    ahead = [start] * in_advance
    return ahead + [plus_months(start, every_months * (k + 1)) for k in range(rents - in_advance)]


def imputed_interest(flows: Sequence[Dated]) -> Iterator[Dated]:
    """The interest in each payment of a lease that is a purchase in disguise [cents].

    Parameters
    ----------
    flows
        What the lessor advances (above zero) and gets back, fees left out [cents].

    Notes
    -----
    At the one effective rate a year that balances the flows, ACT/365, on what is owed; where there
    is none, or several, in proportion to the payments. It adds up to all that is paid beyond what
    is advanced.
    """
    by_day: dict[date, float] = {}
    for day, cents in flows:
        by_day[day] = by_day.get(day, 0.0) + cents
    days = sorted(by_day)
    charge = -round(sum(by_day.values()))
    parts = _parts(by_day, days, dated_rates(flows), charge)
    for day, part in zip(days[1:-1], parts[1:-1], strict=True):
        charge -= (cents := rounded(part))
        yield day, float(cents)
    yield days[-1], float(charge)


def _parts(
    by_day: dict[date, float], days: Sequence[date], rates: Sequence[float], charge: int
) -> list[float]:
    """Unrounded interest of each day; nothing on the first."""
    if len(rates) != 1:
        paid = [max(-by_day[day], 0.0) for day in days[1:]]
        return [0.0, *(charge * one / sum(paid) for one in paid)]
    owed, last, parts = 0.0, days[0], list[float]()
    for day in days:
        parts.append(owed * ((1.0 + rates[0]) ** ((day - last).days / DAYS_PER_YEAR) - 1.0))
        owed, last = owed + parts[-1] + by_day[day], day
    return parts
