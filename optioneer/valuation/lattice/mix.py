"""What the states of a lattice do not earn: by shares alone, or in the best mix for the hours."""

from itertools import pairwise

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.hours import HoursSeen, WaySets, Work
from optioneer.valuation.lattice.view import View

STRETCHES = 4
"""Parts of the time that is left within each of which expected hours count as if they could be put
off. On random small cases more of them advised no better."""


def lost_during(view: View, periods: range, known: Floats, ahead: int = 0) -> Floats:
    """Margin not earned so far ahead of each of S periods, discounted, shape (P, S x n) [money].

    Parameters
    ----------
    view
        A block of n futures.
    periods
        S periods.
    known
        From ``view.known_level(periods)``; margins are those expected on it.
    ahead
        So many periods later.

    Notes
    -----
    Where clusters stay apart hours are paid at their price and what the attended ones are worth is
    left out: it hangs on no package.
    """
    sets = view.lattice.way_sets
    if sets is None or view.hours is None:
        return view.lattice.lost @ view.expected_margin(known, periods, ahead)
    return _lost(sets, view.work_in(known, periods, ahead), view.hours, periods)


def lost_from(view: View, periods: range, known: Floats, ahead: int) -> Floats:
    """Margin not earned from so far ahead of each of S periods on, shape (P, S x n) [money].

    Parameters and notes as for `lost_during`; a stretch of time is valued as a whole.
    """
    sets = view.lattice.way_sets
    if sets is None or view.hours is None:
        return view.lattice.lost @ view.remaining(known, periods, ahead)
    parts = STRETCHES if view.hours.price is None else 1
    length = view.timeline.periods - np.arange(periods.start, periods.stop) - ahead
    cuts = [ahead + length * part // parts for part in range(parts + 1)]
    whole: Floats | None = None
    for stretch in pairwise(cuts):
        if (stretch[0] < stretch[1]).any():
            lost = _lost(sets, view.stretch(known, periods, stretch), view.hours, periods)
            whole = lost if whole is None else np.add(whole, lost, out=whole)
    return np.zeros((view.lattice.size, known.shape[1])) if whole is None else whole


def _lost(sets: WaySets, work: Work, hours: HoursSeen, periods: range) -> Floats:
    if hours.price is None:
        return sets.lost_in(work, hours.attendance)
    return sets.lost_at(work, hours.price[periods.start : periods.stop].ravel())
