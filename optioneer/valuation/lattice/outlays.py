"""What states cost as far as it can be known at a date, and what they bring at the end."""

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.mix import lost_during, lost_from
from optioneer.valuation.lattice.moves import lower_to_best
from optioneer.valuation.lattice.view import View


def rule_estimate(view: View, periods: range, known: Floats) -> Floats:
    """Cost of each state from t + 1 on, counting only the streams here at t, shape (P, S x n).

    Parameters
    ----------
    view
        A block of n futures.
    periods
        S periods t of decisions; the last one of all alone.
    known
        From ``view.known_level(periods)``.

    Notes
    -----
    The lesser of retrofitting at t + 1 and never, on expected margins. Compared across the states
    that can be moved to at t this weighs fitting now, fitting next period and never.
    States that are not valid get a finite, meaningless figure.
    """
    lattice = view.lattice
    if periods.stop == view.timeline.periods:
        return horizon_cost(view)
    kept = held_cost(view, periods, known, ahead=2)
    kept[~lattice.valid] = np.inf
    lower_to_best(lattice, _charges_next(view, periods), kept)
    kept += flow_cost(view, periods, known, ahead=1)
    if view.growth.stay is not None:
        _plus(kept, -_sale_receipts_next(view, periods))
    kept[~lattice.valid] = 0.0
    return kept


def _charges_next(view: View, periods: range) -> Charges:
    """What retrofits cost a period later, times the chance that the machine is still there."""
    charges = view.charges(periods, ahead=1)
    if view.lives is None or view.growth.stay is None:
        return charges
    kept = view.lives.chance_kept
    still = _chance_given(
        kept[periods.start + 1 : periods.stop + 1], kept[periods.start : periods.stop]
    )
    return charges.times(np.repeat(still, view.futures.count))


def _sale_receipts_next(view: View, periods: range) -> Floats:
    """Receipts of a sale a period later times its chance, shape (P, S) [money]."""
    if view.lives is None:
        return np.zeros((view.lattice.size, len(periods)))
    lives, lattice = view.lives, view.lattice
    then = slice(periods.start + 1, periods.stop + 1)
    chance = _chance_given(lives.chance_sold[then], lives.chance_kept[periods.start : periods.stop])
    worth = view.sale_worth[:, then] * chance
    receipts: Floats = lattice.resale_prices.T @ worth
    return receipts


def _chance_given(then: Floats, now: Floats) -> Floats:
    """Chances of what comes given that the machine is there now; 0 where it never is."""
    return np.divide(then, now, out=np.zeros_like(then), where=now > 0.0)


def held_cost(view: View, periods: range, known: Floats, ahead: int) -> Floats:
    """Expected cost of keeping each state for good from so far ahead on, (P, S x n) [money]."""
    lattice, timeline = view.lattice, view.timeline
    since = slice(periods.start + ahead, periods.stop + ahead)
    if view.lives is not None and view.growth.stay is not None:
        now = view.lives.chance_kept[periods.start : periods.stop]
        fixed = lattice.upkeep[:, None] * _chance_given(view.lives.annuity[since], now)
        sale = view.sale_left[:, since]
        fixed -= lattice.resale_prices.T @ _chance_given(sale, np.broadcast_to(now, sale.shape))
    else:
        fixed = lattice.upkeep[:, None] * timeline.annuity[since]
        fixed -= timeline.at_start[-1] * lattice.resale[:, None]
    return _plus(lost_from(view, periods, known, ahead), fixed)


def flow_cost(view: View, periods: range, known: Floats, ahead: int = 0) -> Floats:
    """Upkeep and lost margin of each state, shape (P, S x n) [money]; asked as `lost_during`."""
    lattice, timeline = view.lattice, view.timeline
    during = timeline.during[periods.start + ahead : periods.stop + ahead]
    if ahead > 0 and view.lives is not None:
        kept = view.lives.chance_kept
        then = kept[periods.start + ahead : periods.stop + ahead]
        during = during * _chance_given(then, kept[periods.start : periods.stop])
    upkeep = lattice.upkeep[:, None] * (during * timeline.dt)
    return _plus(lost_during(view, periods, known, ahead), upkeep)


def _plus(cost: Floats, fixed: Floats) -> Floats:
    """`cost`, shape (P, S x n), with `fixed`, shape (P, S), added in place."""
    by_period = cost.reshape(*fixed.shape, -1)
    by_period += fixed[:, :, None]
    return cost


def horizon_cost(view: View) -> Floats:
    """Less the resale value of each state, shape (P, n) [money]."""
    ends = -view.timeline.at_start[-1] * view.lattice.resale
    return np.repeat(ends[:, None], view.futures.count, axis=1)


def close(view: View, period: int, to_go: Floats) -> None:
    """Put in place, in the futures in which the machine is sold then, what its sale brings."""
    sold = view.sold(period)
    if len(sold):
        to_go[:, sold] = -view.receipts(period)[:, None]
