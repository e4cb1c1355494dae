"""Sums of the first weeks: coolant, service visits, ramp-up."""

import math
from collections.abc import Sequence


def first_fill_l(sump_l: float, share: float) -> float:
    """Concentrate of the first fill [L]: sump * target concentration."""
    return sump_l * share


def top_up_share(full_l: float, left_l: float, *, target: float, now: float) -> float:
    """Concentration of the mix that tops a sump up to its target."""
    return (full_l * target - left_l * now) / (full_l - left_l)


def visits_cost(
    site_hours: Sequence[float],
    travel_hours: float,
    *,
    labour: float,
    travel: float,
    day_hours: float = 8.0,
) -> float:
    """Cost of one service trip that does several jobs [money].

    Parameters
    ----------
    site_hours
        Hours of each job on site.
    travel_hours
        Hours on the road, once.
    labour, travel
        Rates [money/h].
    day_hours
        Least hours charged a day: hours on site are rounded up to whole days.
    """
    days = math.ceil(sum(site_hours) / day_hours)
    return days * day_hours * labour + travel_hours * travel


def ramp_hours_lost(shares: Sequence[float], hours_per_week: float) -> float:
    """Working hours lost while a new machine runs up [h]: sum of (1 - weekly share) * hours."""
    return sum(1 - share for share in shares) * hours_per_week
