"""Forward in time with a purse: retrofits only where they can be paid for."""

from collections.abc import Callable

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.journey import Decision, Journey, bill_of, made_retrofits

Allowed = Callable[[Floats], Bools]
"""Which of n futures can pay what their retrofits of a date cost, (n,) [money, discounted]."""


class PursedWalk:
    """One package on its way through n futures, period by period.

    Parameters
    ----------
    view
        The futures.
    start
        State that is ordered.
    """

    def __init__(self, view: View, start: int) -> None:
        self.view, periods, n = view, view.timeline.periods, view.futures.count
        self.columns, self.state = np.arange(n), np.full(n, start, dtype=np.intp)
        self.cost, self.lost, self.flow = np.zeros(n), np.zeros(n), np.zeros(n)
        self.fitted_in = np.full((len(view.lattice.targets), n), periods, dtype=np.int32)
        self.paid = np.zeros((len(view.lattice.targets), n))
        self.owned = np.empty((periods, n), dtype=np.int32)

    def step(self, t: int, now: Decision, allowed: Allowed | None = None) -> Bools:
        """One period lived through; where retrofits that are wanted are not allowed, shape (n,).

        Parameters
        ----------
        t, now
            The period, and what is decided in it.
        allowed
            Who can pay; none: everybody.
        """
        view, lattice = self.view, self.view.lattice
        self.owned[t] = self.state
        sold = view.sold(t)
        self.cost[sold] -= view.receipts(t)[self.state[sold]] if len(sold) else 0.0
        here = view.stay > t
        self.flow = np.where(here, now.flow[self.state, self.columns], 0.0)
        self.cost += self.flow
        upkeep = lattice.upkeep[self.state] * (view.timeline.during[t] * view.timeline.dt)
        self.lost += self.flow - np.where(here, upkeep, 0.0)
        if t == 0 or not lattice.targets:
            return np.zeros(len(self.columns), dtype=bool)
        return self._fitted(t, now, here, allowed)

    def _fitted(self, t: int, now: Decision, here: Bools, allowed: Allowed | None) -> Bools:
        lattice, periods = self.view.lattice, self.view.timeline.periods
        after = np.where(here, now.choice[self.state, self.columns], self.state)
        made = made_retrofits(lattice, self.state, after)
        bill = bill_of(lattice, now.charges, self.state, after, made)
        refused = np.zeros(len(self.columns), dtype=bool)
        if allowed is not None:
            refused = (after != self.state) & ~allowed(bill.sum(axis=0))
            after, made = np.where(refused, self.state, after), made & ~refused
            bill = np.where(refused, 0.0, bill)
        self.cost += bill.sum(axis=0)
        self.paid += bill
        self.fitted_in[made & (self.fitted_in == periods)] = t
        self.state = after
        return refused

    def ended(self) -> Journey:
        """What has happened at the horizon."""
        view = self.view
        ends = view.timeline.at_start[-1] * view.lattice.resale[self.state]
        cost = self.cost - np.where(view.stay == view.timeline.periods, ends, 0.0)
        return Journey(cost, self.fitted_in, self.paid, self.lost, self.owned)
