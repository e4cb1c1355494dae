"""Forward in time with a purse: retrofits only where they can be paid for."""

from collections.abc import Callable, Iterator
from dataclasses import fields

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.kept.paths import followed_from
from optioneer.valuation.lattice.cluster import ClusterCost, World
from optioneer.valuation.lattice.journey import (
    Decision,
    Journey,
    bill_of,
    decisions,
    made_retrofits,
)
from optioneer.valuation.lattice.outlays import flow_cost
from optioneer.valuation.lattice.policy import decision_spans
from optioneer.valuation.lattice.sweep import Moves
from optioneer.valuation.lattice.view import View

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

    Notes
    -----
    `flow` is what the last period cost to keep and in lost margin, `spent` what its retrofits cost,
    shape (n,) each [money, discounted].
    """

    def __init__(self, view: View, start: int) -> None:
        self.view, periods, n = view, view.timeline.periods, view.futures.count
        self.columns, self.state = np.arange(n), np.full(n, start, dtype=np.intp)
        self.cost, self.lost = np.zeros(n), np.zeros(n)
        self.flow, self.spent = np.zeros(n), np.zeros(n)
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
            self.spent = np.zeros(len(self.columns))
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
        self.spent = bill.sum(axis=0)
        self.cost += self.spent
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


class Passage:
    """One package of a cluster in some futures, and what is decided there period by period.

    Parameters
    ----------
    world
        All futures.
    cost
        The cluster, every package of which was valued.
    start
        State that is ordered.
    some
        Places of the n futures.
    """

    def __init__(self, world: World, cost: ClusterCost, start: int, some: Indices) -> None:
        part, self.states = cost.lattice.reachable(start)
        price = None if world.price is None else world.price[:, some]
        self.view = world.view(part, world.valued.at(some), price)
        self.walk = PursedWalk(self.view, int(np.flatnonzero(self.states == start)[0]))
        self._cost, self._start, self._some = cost, start, some

    def decisions(self) -> Iterator[tuple[int, Decision]]:
        """By period, forward in time; from the moves that are kept, where they are."""
        if self._cost.moves is None:
            policy = self._cost.policy.of(self.states)
            return decisions(self.view, policy.after(int(self.walk.state[0])))
        return self._kept(self._cost.moves)

    def _kept(self, moves: Moves) -> Iterator[tuple[int, Decision]]:
        after = followed_from(moves, self._start)
        number = np.zeros(self._cost.lattice.size, dtype=np.intp)
        number[self.states] = np.arange(len(self.states))
        for periods in reversed([*decision_spans(self.view), range(1)]):
            flow = flow_cost(self.view, periods, self.view.known_level(periods))
            charges = self.view.charges(periods)
            for place, t in enumerate(periods):
                now, rows = self.view.moments(place), after[t][self.states]
                choice = number[rows[:, self._some]]
                yield t, Decision(flow[:, now], choice, charges.of(now))

    def ended(self) -> Journey:
        """What has happened, states numbered as those of the whole cluster."""
        return self.walk.ended().among(self.states)


def lived_at(journey: Journey, some: Indices) -> Journey:
    """What happens in some of the futures."""
    return Journey(*(getattr(journey, each.name)[..., some] for each in fields(journey)))


def lived_otherwise(journey: Journey, some: Indices, other: Journey) -> Journey:
    """The same, but in some futures what happens in those of another."""
    found = {each.name: getattr(journey, each.name).copy() for each in fields(journey)}
    for name, values in found.items():
        values[..., some] = getattr(other, name)
    return Journey(**found)
