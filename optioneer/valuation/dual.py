"""A bound that no policy can beat: hindsight made to pay for what it knows too early.

An information-relaxation bound, with penalties that no policy without foresight pays on average.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.cache.content import bare, content_name
from optioneer.valuation.cache.lives import policy_content
from optioneer.valuation.cache.memory import Arrays, remembered_arrays
from optioneer.valuation.hours import HoursSeen
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.moves import lower_to_best
from optioneer.valuation.lattice.outlays import close, flow_cost, horizon_cost, rule_estimate
from optioneer.valuation.lattice.view import View
from optioneer.valuation.news import KNOTS, NewsOutlook, NewsReading
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.timing.policy import Mapper, Policy, Strands, policy_steps
from optioneer.valuation.worlds.beliefs import arrival_hazards
from optioneer.valuation.worlds.futures import Futures

TOGETHER = 2**20
"""States x futures x news looked at together."""

FEWEST_TOGETHER = 32
"""Futures that are looked at together at least, however many the states."""


@dataclass(frozen=True)
class Bounds:
    """Two costs after the order with the same sums of expectation 0 added, shape (P, n) each.

    Parameters
    ----------
    lower
        Hindsight that pays for what it knows too early; its mean is a lower bound on what any way
        of retrofitting costs that cannot see ahead.
    reached
        The learned policy; its mean is that of the policy's cost, its spread much smaller. In each
        future at least `lower`.
    charged
        `lower` under each of some further charges, shape (Q, P, n) [money].
    """

    lower: Floats
    reached: Floats
    charged: Floats

    @classmethod
    def joined(cls, parts: "Sequence[Bounds]") -> "Bounds":
        """The futures of all `parts`."""
        return cls(
            np.concatenate([part.lower for part in parts], axis=1),
            np.concatenate([part.reached for part in parts], axis=1),
            np.concatenate([part.charged for part in parts], axis=2),
        )


def cluster_bounds(
    world: World,
    plan: tuple[Lattice, Policy],
    futures: Futures,
    run: Mapper,
    *,
    charges: Sequence[Floats] = (),
) -> Bounds:
    """Bounds on the cost after the order of every state of a cluster.

    Parameters
    ----------
    plan
        The cluster and what was learned for it.
    futures
        N futures, others than those learned from.
    run
        How to go through blocks of them.
    charges
        What moving into each state is charged for, and leaving it gets back, in each period, (T, P)
        each [money].
    """
    lattice, policy = plan

    def make() -> Arrays:
        found = _cluster_bounds(world, plan, charges, (futures, run))
        return {"lower": found.lower, "reached": found.reached, "charged": found.charged}

    price = None if lattice.way_sets is None else world.price_in(futures)
    read = (world.timeline, world.growth, world.scores, world.attendance, price, futures)
    told = content_name("bounds", bare(lattice), read, policy_content(policy), tuple(charges))
    return Bounds(**remembered_arrays(told, make))


def _cluster_bounds(
    world: World,
    plan: tuple[Lattice, Policy],
    charges: Sequence[Floats],
    drawn: tuple[Futures, Mapper],
) -> Bounds:
    lattice, (futures, run) = plan[0], drawn
    pieces = len(KNOTS) if world.growth.swing[lattice.streams].any() else 2
    news = 1 + pieces * len(lattice.streams)
    size = max(TOGETHER // (lattice.size * news), FEWEST_TOGETHER)
    edges = pairwise([*range(0, futures.count, size), futures.count])
    blocks = (futures.block(start, stop) for start, stop in edges)
    return Bounds.joined(list(run(partial(_block_bounds, world, plan, charges), blocks)))


def _block_bounds(
    world: World, plan: tuple[Lattice, Policy], charges: Sequence[Floats], futures: Futures
) -> Bounds:
    lattice, policy = plan
    view = world.view(lattice, futures)
    # Where nothing can be retrofitted no news changes what is done.
    heard = lattice.streams if lattice.targets else lattice.streams[:0]
    hazards = arrival_hazards(world.growth, world.timeline, futures, heard)
    return bounds(view, policy, hazards, charges=charges)


def bounds(
    view: View, policy: Policy, hazards: Floats, *, charges: Sequence[Floats] = ()
) -> Bounds:
    """Bounds on the cost after the order of every state, from both sides.

    Parameters
    ----------
    view
        A block of n futures.
    policy
        The learned policy: the nearer its estimates are to the best possible, the nearer the two.
    hazards
        From ``beliefs.arrival_hazards`` for the lattice's streams and futures, shape (K, T, n).
    charges
        As for `cluster_bounds`.

    Notes
    -----
    With ``V`` the policy's estimate of the cost from t on, each piece of news that period t brings
    (the machine is sold or not; a stream arrives or not, and with which margin; it ends or not; a
    margin swings) adds to each state ``E[V] - V``, the expectation taken over that piece alone,
    given all that came before it. For any policy that cannot see ahead the sum has expectation 0;
    with the best possible V hindsight would gain nothing any more. Every expectation is in closed
    form: over two outcomes, over a line between the ends of a margin, over straight lines between
    knots under a lognormal step; only the chances of arriving come from a grid, see `beliefs`.

    References
    ----------
    Brown, Smith & Sun, "Information relaxations and duality in stochastic dynamic programs",
    Operations Research 58 (2010) 785-801, propositions 2.1 and 2.2 (from memory).
    Rogers, "Monte Carlo valuation of American options", Mathematical Finance 12 (2002) 271-286
    (from memory).
    """
    lattice = view.lattice
    strands = Strands((policy,))
    reached = [horizon_cost(view) for _ in strands.followed_policies]
    none = np.zeros((view.timeline.periods, lattice.size))
    lower = [(charge, horizon_cost(view)) for charge in (none, *charges)]
    for t in range(view.timeline.periods - 1, -1, -1):
        if t + 1 < view.timeline.periods and lattice.targets:
            dues = _dues(view, policy, hazards[:, t + 1], t + 1)
            lower = [(charge, cost + dues) for charge, cost in lower]
            reached = [cost + dues for cost in reached]
        now = range(t, t + 1)
        flow = flow_cost(view, now, view.known_level(now))
        if t > 0:
            moved = partial(_cost_before_moves, lattice, view.charges(now))
            lower = [(charge, moved(cost, charge[t])) for charge, cost in lower]
            reached = policy_steps(view, now, strands.followed_policies, reached)
        else:
            reached = [cost + flow for cost in reached]
        lower = [(charge, cost + flow) for charge, cost in lower]
        for _, cost in lower:
            close(view, t, cost)
    (followed,) = strands.costs(reached)
    least = np.array([cost for _, cost in lower])
    least[:, ~lattice.valid] = followed[~lattice.valid] = np.inf
    return Bounds(least[0], followed, least[1:])


def _cost_before_moves(lattice: Lattice, charges: Charges, cost: Floats, due: Floats) -> Floats:
    """Cost before the best retrofits from that after them; `due` is charged for each state."""
    cost[~lattice.valid] = np.inf
    charged = due.any()
    if charged:
        cost += due[:, None]
    lower_to_best(lattice, charges, cost)
    if charged:
        cost -= due[:, None]
    return cost


def _dues(view: View, policy: Policy, hazard: Floats, t: int) -> Floats:
    """What each state has to pay for knowing the news of `t`, shape (P, n) [money]."""
    reading = NewsReading(view, hazard, t)
    dues = reading.for_the_sale()
    outlooks = [outlook for outlook in reading.outlooks() if len(outlook.columns)]
    if not outlooks:
        return dues
    together = NewsOutlook.joined(outlooks)
    worth = _worth(view, policy, t, together)
    worth *= together.weight
    start = 0
    for outlook in outlooks:
        stop = start + len(outlook.columns)
        dues[:, outlook.columns] += worth[:, start:stop]
        start = stop
    return dues


def _worth(view: View, policy: Policy, t: int, outlook: NewsOutlook) -> Floats:
    """The policy's estimate of the cost of each state from `t` on, shape (P, m) [money]."""
    lattice, futures, known = view.lattice, view.futures, outlook.known
    there = view.elsewhere(
        Futures(
            arrival=outlook.arrival,
            level=futures.level[:, outlook.columns],
            # Levels already swung are handed over as known.
            log_swing=(None,) * len(futures.level),
            quantile=futures.quantile[:, outlook.columns],
            life=outlook.life,
        ),
        _hours_before(view.hours, t, outlook.columns),
        # Whose turn it is may hang on the news of other work, which may hang on this.
        heard=1,
    )
    now = range(t, t + 1)
    estimate = policy.corrected(there, now, known, rule_estimate(there, now, known))
    estimate[~lattice.valid] = np.inf
    lower_to_best(lattice, there.charges(now), estimate)
    estimate += flow_cost(there, now, known)
    estimate[~lattice.valid] = 0.0
    return estimate


def _hours_before(hours: HoursSeen | None, t: int, columns: Indices) -> HoursSeen | None:
    """Hours with the price known before the news of `t`, which may hang on the news."""
    if hours is None or hours.price is None:
        return hours
    price = np.zeros((t + 1, len(columns)))
    price[t] = hours.price[t - 1, columns]
    return HoursSeen(hours.attendance, price)
