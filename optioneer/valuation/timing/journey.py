"""Forward in time: what the advised way of retrofitting does with one package.

A forward simulation of a fixed policy.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.moves import best_choice
from optioneer.valuation.lattice.outlays import flow_cost
from optioneer.valuation.lattice.view import Charges, View
from optioneer.valuation.timing.policy import Policy, decision_spans


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
    """

    cost: Floats
    fitted_in: NDArray[np.int32]
    paid: Floats
    lost: Floats
    owned: NDArray[np.int32] = field(default_factory=lambda: np.empty((0, 0), dtype=np.int32))

    def joined(self, other: "Journey") -> "Journey":
        """The futures of both."""
        return Journey(
            np.concatenate([self.cost, other.cost]),
            np.concatenate([self.fitted_in, other.fitted_in], axis=-1),
            np.concatenate([self.paid, other.paid], axis=-1),
            np.concatenate([self.lost, other.lost]),
            np.concatenate([self.owned, other.owned], axis=-1),
        )

    def among(self, states: Indices) -> "Journey":
        """The same with its states numbered as those of the lattice they are a part of."""
        return replace(self, owned=states.astype(np.int32)[self.owned])


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
    lattice, periods = view.lattice, view.timeline.periods
    n = view.futures.count
    columns = np.arange(n)
    state = np.full(n, start, dtype=np.intp)
    cost, lost = np.zeros(n), np.zeros(n)
    fitted_in = np.full((len(lattice.targets), n), periods, dtype=np.int32)
    paid = np.zeros((len(lattice.targets), n))
    owned = np.empty((periods, n), dtype=np.int32)
    for t, now in decisions(view, policy.after(start)):
        owned[t] = state
        sold = view.sold(t)
        cost[sold] -= view.receipts(t)[state[sold]] if len(sold) else 0.0
        here = view.stay > t
        flow = np.where(here, now.flow[state, columns], 0.0)
        cost += flow
        upkeep = lattice.upkeep[state] * (view.timeline.during[t] * view.timeline.dt)
        lost += flow - np.where(here, upkeep, 0.0)
        if t > 0 and lattice.targets:
            after = np.where(here, now.choice[state, columns], state)
            made = made_retrofits(lattice, state, after)
            bill = bill_of(lattice, now.charges, state, after, made)
            cost += bill.sum(axis=0)
            paid += bill
            fitted_in[made & (fitted_in == periods)] = t
            state = after
    ends = view.timeline.at_start[-1] * lattice.resale[state]
    cost -= np.where(view.stay == periods, ends, 0.0)
    return Journey(cost, fitted_in, paid, lost, owned)


@dataclass(frozen=True)
class Decision:
    """What is done in one period in each state and future, shapes (P, n), and what it costs."""

    flow: Floats
    choice: Indices
    charges: Charges


def decisions(view: View, policy: Policy) -> Iterator[tuple[int, Decision]]:
    """By period, forward in time; nothing is chosen in period 0."""
    spans = [*decision_spans(view), range(1)]
    for periods in reversed(spans):
        flow = flow_cost(view, periods, view.known_level(periods))
        charges = view.charges(periods)
        state = choices_of(view, policy, periods, charges)
        for place, t in enumerate(periods):
            now = view.moments(place)
            yield t, Decision(flow[:, now], state[:, now], charges.of(now))


def choices_of(view: View, policy: Policy, periods: range, charges: Charges) -> Indices:
    """State moved to from every state in some periods, (P, S x n); nothing is in the first."""
    if periods.start == 0 or not view.lattice.targets:
        return np.empty((0, len(periods) * view.futures.count), dtype=np.intp)
    return best_choice(view.lattice, charges, policy.estimate(view, periods)).state


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
