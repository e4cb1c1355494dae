"""Leases: when the rents fall due."""

from datetime import date

from optioneer.dates import plus_months


def rent_dates(start: date, *, rents: int, in_advance: int, every_months: int = 1) -> list[date]:
    """Nominal day of each of `rents` rents.

    Parameters
    ----------
    start
        First day of the lease.
    rents
        How many rents.
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
