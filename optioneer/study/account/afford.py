"""Can the shop afford what the advice waits for? Retrofits only where the account can pay them."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.dates import MONTHS_PER_YEAR, plus_months
from optioneer.model.machine import Package
from optioneer.money.cents import amount_of, to_cents
from optioneer.money.ledger import Entry
from optioneer.study.account.answers import Affordable, OrderNow
from optioneer.study.advice.package import journeys_of
from optioneer.study.advice.package_choice import package_holding
from optioneer.study.cash.plans import paying_of
from optioneer.study.worth.packages import states_of, with_package
from optioneer.study.worth.site_cost import States
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.timing.journey import Journey, PackageWalk, decisions
from optioneer.valuation.worlds.futures import Futures, margin_in

TOGETHER = 256
"""Futures that are played at once."""


@dataclass(frozen=True)
class Afforded:
    """A package whose retrofits are fitted only where the account can pay them.

    Parameters
    ----------
    states
        The package.
    journeys
        What happens to it, one a cluster.
    refused
        By cluster, whether a retrofit that was wanted could not be paid, shape (N,) each.
    cost
        Its NPC in each future, shape (N,) [money].
    """

    states: States
    journeys: tuple[Journey, ...]
    refused: tuple[Bools, ...]
    cost: Floats

    @property
    def any_refused(self) -> float:
        """Share of futures in which anything could not be paid."""
        return float(np.any(self.refused, axis=0).mean())


def afforded(found: Valued, package: Package, entries: Sequence[Entry]) -> Afforded:
    """A package played through with the account.

    Parameters
    ----------
    found
        The valued case, with ways of paying; no cluster of it was searched.
    package
        What is ordered.
    entries
        Contracted entries of a plan, with the rest of the business.

    Notes
    -----
    At the start of a period every cluster asks for what the learned policy wants, in their order,
    and gets it where the balance of that day less what to keep pays for it; who is refused asks
    again in the next period. The balance is what is contracted, and what the machine has earned
    after tax less what retrofits have cost so far.
    """
    found = with_package(found, package)
    states, kept = states_of(found, package), _kept(found, entries)
    edges = [*range(0, found.world.valued.count, TOGETHER), found.world.valued.count]
    parts = [_played(found, states, kept, slice(*edge)) for edge in pairwise(edges)]
    journeys = tuple(_joined([part[0][i] for part in parts]) for i in range(len(found.costs)))
    refused = tuple(np.concatenate([part[1][i] for part in parts]) for i in range(len(found.costs)))
    cost = found.constant + found.site.cost(states) + found.mix.whole(journeys)
    for part, state, journey in zip(found.costs, states, journeys, strict=True):
        cost = cost + (journey.cost + part.lattice.price[state])
    return Afforded(states, journeys, refused, cost)


def _joined(journeys: Sequence[Journey]) -> Journey:
    first, *others = journeys
    for other in others:
        first = first.joined(other)
    return first


def _kept(found: Valued, entries: Sequence[Entry]) -> Floats:
    """What is contracted leaves beyond what to keep at the start of each period, (T,) [money]."""
    case, account = found.case, paying_of(found.case).account
    opening = to_cents(account.opening - account.keep_above, case.machine.currency)
    per_year = case.growth.periods_per_year
    starts = [
        plus_months(case.dates.first_chips_date, round(MONTHS_PER_YEAR * t / per_year))
        for t in range(case.growth.periods)
    ]
    left = [opening + sum(e.cents for e in entries if e.date <= day) for day in starts]
    return np.array([amount_of(cents, case.machine.currency) for cents in left])


def _ramped(found: Valued) -> Floats:
    """Share of its work that the machine does in each period, shape (T,)."""
    ramp, growth = paying_of(found.case).account.ramp, found.case.growth
    months = round(growth.horizon_years * MONTHS_PER_YEAR)
    shares = np.array([*ramp, *[1.0] * months])[:months]
    place = (np.arange(months) + 0.5) * growth.periods_per_year / MONTHS_PER_YEAR
    sums = np.bincount(place.astype(np.intp), shares, growth.periods)[: growth.periods]
    counts = np.bincount(place.astype(np.intp), minlength=growth.periods)[: growth.periods]
    return np.asarray(np.where(counts > 0, sums / np.maximum(counts, 1), 1.0))


def _played(
    found: Valued, states: States, kept: Floats, some: slice
) -> tuple[list[Journey], list[Bools]]:
    """Some futures lived through, all clusters from one purse."""
    world, timeline = found.world, found.problem.timeline
    futures = world.valued.block(some.start, some.stop)
    price = None if world.price is None else world.price[:, some]
    views = [world.view(cost.lattice, futures, price) for cost in found.costs]
    walks = [PackageWalk(view, state) for view, state in zip(views, states, strict=True)]
    roads = [
        decisions(view, cost.policy.after(state))
        for view, cost, state in zip(views, found.costs, states, strict=True)
    ]
    refused = [np.zeros(futures.count, dtype=bool) for _ in walks]
    earned, ramp = np.zeros(futures.count), _ramped(found)
    for steps in zip(*roads, strict=True):
        t = steps[0][0]
        purse = _Purse(kept[t] + earned, float(timeline.at_start[t] * _paying(found, t)))
        for i, (walk, (_, now)) in enumerate(zip(walks, steps, strict=True)):
            refused[i] |= walk.step(t, now, purse.pays)
        earned = purse.left - kept[t] + ramp[t] * _earned(found, futures, price, t)
        earned -= ramp[t] * np.sum([walk.flow for walk in walks], axis=0) / timeline.during[t]
    return [walk.ended() for walk in walks], refused


def _paying(found: Valued, period: int) -> float:
    """Value of paying 1 for a retrofit in a period, tax given back taken off."""
    timeline = found.problem.timeline
    return float(timeline.retrofit_level[period] / timeline.price_level[period])


def _earned(found: Valued, futures: Futures, price: Floats | None, period: int) -> Floats:
    """Margin of a period after tax, whoever does the work, before what is lost (n,) [money]."""
    timeline, growth = found.problem.timeline, found.problem.growth
    alone = dict(found.problem.alone)
    total = np.zeros(futures.count)
    for k in range(len(growth.keys)):
        margin = margin_in(growth, timeline, futures, stream=k, period=period)
        total += (1.0 - alone.get(k, 0.0)) * margin
    if price is not None and found.world.attendance is not None and found.mix.needed:
        total += found.world.attendance.hours * price[period]
    return total * timeline.dt


@dataclass
class _Purse:
    """What is there to pay retrofits of one date from, and what they are worth by then.

    Parameters
    ----------
    left
        In each of n futures [money of the day].
    worth
        What one unit of that counts at the order.
    """

    left: Floats
    worth: float

    def pays(self, bill: Floats) -> Bools:
        """Who can pay a bill; it is paid."""
        asked = bill / self.worth
        able = asked <= self.left
        self.left = np.where(able, self.left - asked, self.left)
        return np.asarray(able)


def affordable(found: Valued, package: Package, plan: str, entries: Sequence[Entry]) -> Affordable:
    """What it does to fit retrofits only where the account under a plan can pay them.

    Parameters
    ----------
    found
        The valued case.
    package
        What is ordered.
    plan, entries
        Id of the way of paying, and its contracted entries.
    """
    found = with_package(found, package)
    held = afforded(found, package, entries)
    free = found.cost(held.states)
    return Affordable(
        plan=plan,
        refused=held.any_refused,
        costs=float(held.cost.mean() - free.mean()),
        options=tuple(_order_now(found, held, entries)),
    )


def _order_now(found: Valued, held: Afforded, entries: Sequence[Entry]) -> Iterator[OrderNow]:
    """Options that are waited for where the account refuses: what each would cost if ordered."""
    periods = found.problem.timeline.periods
    for i, (cost, journey) in enumerate(zip(found.costs, held.journeys, strict=True)):
        if not held.refused[i].any():
            continue
        free = journeys_of(found, held.states)[i]
        for target, wanted in zip(cost.lattice.targets, free.fitted_in, strict=True):
            holding = cost.lattice.holding(target.option)
            if holding[held.states[i]] or not (wanted < periods).any():
                continue
            means = np.where(holding, found.means[i], np.inf)
            if np.isfinite(means.min()):
                states = (*held.states[:i], int(means.argmin()), *held.states[i + 1 :])
                name = found.problem.options[target.option]
                told = package_holding(found.case, "now", found.options(states))
                now = afforded(found, told, entries)
                late = (journey.fitted_in[cost.lattice.targets.index(target)] == periods) & (
                    wanted < periods
                )
                extra = float(now.cost.mean() - held.cost.mean())
                yield OrderNow(option=name, refused=float(late.mean()), otherwise=extra)
