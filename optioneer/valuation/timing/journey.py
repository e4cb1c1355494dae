"""Forward in time: what the advised way of retrofitting does with one package.

A forward simulation of a fixed policy.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.moves import best_states
from optioneer.valuation.lattice.outlays import flow_cost
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.policy import Policy, decision_spans

Trail = tuple[Lattice, NDArray[np.int32]]
"""A lattice, and its state as ordered and then after the moves of each period, (T + 1, n)."""


@dataclass(frozen=True)
class Journey:
    """What happens to one package after the order, n futures.

    Parameters
    ----------
    cost
        Realised cost after the order, shape (n,) [money].
    fitted_in
        By target, the period in which it is fitted first, shape (targets, n); the number of
        periods T means never.
    paid
        By target, what fitting it costs, its share of call-outs included, shape (targets, n)
        [money, discounted].
    lost
        Margin that is not earned, part of `cost`, shape (n,) [money].
    owned
        State during each period, shape (T, n); empty where the states are no lattice.
    ended
        State after the last moves, shape (n,); empty likewise.
    """

    cost: Floats
    fitted_in: NDArray[np.int32]
    paid: Floats
    lost: Floats
    owned: NDArray[np.int32] = field(default_factory=lambda: np.empty((0, 0), dtype=np.int32))
    ended: NDArray[np.int32] = field(default_factory=lambda: np.empty(0, dtype=np.int32))

    def joined(self, other: "Journey") -> "Journey":
        """The futures of both."""
        return Journey(
            np.concatenate([self.cost, other.cost]),
            np.concatenate([self.fitted_in, other.fitted_in], axis=-1),
            np.concatenate([self.paid, other.paid], axis=-1),
            np.concatenate([self.lost, other.lost]),
            np.concatenate([self.owned, other.owned], axis=-1),
            np.concatenate([self.ended, other.ended]),
        )

    def among(self, states: Indices) -> "Journey":
        """The same with its states numbered as those of the lattice they are a part of."""
        names = states.astype(np.int32)
        return replace(self, owned=names.take(self.owned), ended=names.take(self.ended))


@dataclass(frozen=True)
class JourneyInParts(Journey):
    """What happens to a package of a cluster that has no lattice.

    Parameters
    ----------
    parts
        Trails of what retrofits can still change.
    """

    parts: tuple[Trail, ...] = ()


def trails_of(lattice: Lattice, journey: Journey) -> tuple[Trail, ...]:
    """What a cluster goes through: the whole of its lattice, or some parts where it has none."""
    if isinstance(journey, JourneyInParts):
        return journey.parts
    return ((lattice, np.concatenate([journey.owned, journey.ended[None]])),)


def journey(view: View, policy: Policy, start: int) -> Journey:
    """The futures of `view` lived through from state `start`.

    Parameters
    ----------
    view
        A block of n futures, seen by the part of the lattice that can be reached.
    policy
        For the states of that part.
    start
        State that is ordered; from some the policy follows the rule.

    Notes
    -----
    Written apart from the backward sweep, step by step for one package; the two must agree.
    """
    return journey_along(view, decisions(view, policy.after(start)), start)


def journey_along(view: View, decided: "Decided", start: int) -> Journey:
    """The futures of `view` lived through from state `start`, with what is decided by period."""
    walk = PackageWalk(view, start)
    for t, now in decided:
        walk.step(t, now)
    return walk.journey()


@dataclass(frozen=True)
class Decision:
    """What is done in one period in each state and future, shapes (P, n), and what it costs."""

    flow: Floats
    choice: Indices
    charges: Charges


Decided = Iterator[tuple[int, Decision]]
"""By period, forward in time; nothing is chosen in period 0."""

Choosing = Callable[[range, Floats, Charges], Indices]
"""State moved to from every state in some periods, shape (P, S x n), from what is known then."""


def decisions(view: View, policy: Policy) -> Decided:
    """What a policy decides."""
    return decisions_by(view, partial(choices_of, view, policy))


def decisions_by(view: View, choosing: Choosing) -> Decided:
    """What is decided where choices are known."""
    spans = [*decision_spans(view), range(1)]
    for periods in reversed(spans):
        known, charges = view.known_level(periods), view.charges(periods)
        flow = flow_cost(view, periods, known)
        state = choosing(periods, known, charges)
        for place, t in enumerate(periods):
            now = view.moments(place)
            yield t, Decision(flow[:, now], state[:, now], charges.of(now))


Allowed = Callable[[Floats], Bools]
"""Which of n futures can pay what their retrofits of a date cost, (n,) [money, discounted]."""


class PackageWalk:
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
        alone = lattice.size == 1
        flow = now.flow[0] if alone else now.flow[self.state, self.columns]
        self.flow = np.where(here, flow, 0.0)
        self.cost += self.flow
        upkeep = lattice.upkeep[self.state] * (view.timeline.during[t] * view.timeline.dt)
        self.lost += self.flow - np.where(here, upkeep, 0.0)
        if t == 0 or alone or not lattice.targets:
            self.spent = np.zeros(len(self.columns))
            return np.zeros(len(self.columns), dtype=bool)
        return self._fit(t, now, here, allowed)

    def _fit(self, t: int, now: Decision, here: Bools, allowed: Allowed | None) -> Bools:
        lattice, periods = self.view.lattice, self.view.timeline.periods
        after = np.where(here, now.choice[self.state, self.columns], self.state)
        some = np.flatnonzero(after != self.state)  # few at any one date
        before, reached = self.state[some], after[some]
        made = made_retrofits(lattice, before, reached)
        bill = bill_of(lattice, now.charges.of(some), before, reached, made)
        self.spent = np.zeros(len(self.columns))
        self.spent[some] = bill.sum(axis=0)
        refused = np.zeros(len(self.columns), dtype=bool)
        if allowed is not None:
            refused[some] = ~allowed(self.spent)[some]
            kept = ~refused[some]
            some, made, bill = some[kept], made[:, kept], bill[:, kept]
            after[refused], self.spent[refused] = self.state[refused], 0.0
        self.cost += self.spent
        self.paid[:, some] += bill
        first = self.fitted_in[:, some]
        self.fitted_in[:, some] = np.where(made & (first == periods), t, first)
        self.state = after
        return refused

    def journey(self) -> Journey:
        """What has happened at the horizon."""
        view = self.view
        ends = view.timeline.at_start[-1] * view.lattice.resale[self.state]
        cost = self.cost - np.where(view.stay == view.timeline.periods, ends, 0.0)
        ended = self.state.astype(np.int32)
        return Journey(cost, self.fitted_in, self.paid, self.lost, self.owned, ended)


def choices_of(
    view: View, policy: Policy, periods: range, known: Floats, charges: Charges
) -> Indices:
    """State moved to from every state in some periods, (P, S x n); nothing is in the first."""
    if periods.start == 0 or not view.lattice.targets:
        return np.empty((0, len(periods) * view.futures.count), dtype=np.intp)
    if view.lattice.size == 1:  # nowhere to move to: no estimate is needed
        return np.zeros((1, len(periods) * view.futures.count), dtype=np.intp)
    return best_states(view.lattice, charges, policy.estimate(view, periods, known))


def made_retrofits(lattice: Lattice, before: Indices, after: Indices) -> Bools:
    """Retrofits that lead from one state to the other, shape (targets, n)."""
    made = np.zeros((len(lattice.targets), len(before)), dtype=bool)
    for i, target in enumerate(lattice.targets):
        level = lattice.levels[target.axis]
        made[i] = (level[after] == target.level) & (level[before] != target.level)
    return made


def bill_of(
    lattice: Lattice, charges: Charges, before: Indices, after: Indices, made: Bools
) -> Floats:
    """What each target costs at one date, shape (targets, n); call-outs are shared equally."""
    bill = np.zeros(made.shape)
    for i, target in enumerate(lattice.targets):
        price = charges.plain[i]
        easing, eased = target.easing, charges.eased[i]
        if easing is not None and eased is not None:
            holder = before if easing.axis == target.axis else after
            price = np.where(lattice.levels[easing.axis][holder] == easing.level, eased, price)
        bill[i] = made[i] * price
    for visit, charge in enumerate(charges.visits):
        calls = [i for i, target in enumerate(lattice.targets) if target.visit == visit]
        together = made[calls].sum(axis=0)
        bill[calls] += made[calls] * (charge / np.maximum(together, 1))
    return bill
