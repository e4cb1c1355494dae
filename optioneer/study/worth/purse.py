"""A package lived through with the account: retrofits only where it can pay them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.dates import MONTHS_PER_YEAR, plus_months
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.paying import AnyPlan
from optioneer.money.cents import amount_of, to_cents
from optioneer.study.cash.plans import paying_of
from optioneer.study.cash.works import contract_entries
from optioneer.study.site_costs.site_bills import States
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.passage import Passage, journey_in, journey_with_other
from optioneer.valuation.shared_hours.real_mix import Mixed
from optioneer.valuation.timing.cluster import BLOCK, World
from optioneer.valuation.timing.journey import Journey, Trail, trails_of
from optioneer.valuation.worlds.futures import margin_in

ROUNDING = 1e-6
"""What an amount may be off by in sums of binary fractions [money]."""


@dataclass(frozen=True)
class Purse:
    """The account that retrofits are paid from.

    Parameters
    ----------
    case
        A checked case with ways of paying.
    plan
        The one that is counted on; none: all is paid at the order.
    """

    case: Case
    plan: AnyPlan | None
    _left: dict[Package, Floats] = field(default_factory=dict, compare=False, repr=False)

    def money_left(self, package: Package) -> Floats:
        """What is contracted leaves beyond what to keep, by start of period, (T,) [money].

        The rest of the business goes on to the horizon; a credit line pays no retrofits.

        Raises
        ------
        CaseError
            The plan cannot be kept for this price.
        """
        if package not in self._left:
            self._left[package] = self._money_left(package)
        return self._left[package]

    def _money_left(self, package: Package) -> Floats:
        case, growth, account = self.case, self.case.growth, paying_of(self.case).account
        starts = [
            plus_months(
                case.dates.first_chips_date, round(MONTHS_PER_YEAR * t / growth.periods_per_year)
            )
            for t in range(growth.periods)
        ]
        entries = sorted(
            (entry.date.toordinal(), entry.cents)
            for entry in contract_entries(case, package, self.plan, starts[-1])
        )
        opening = to_cents(account.opening - account.keep_above, case.machine.currency)
        sums = np.cumsum([opening, *(cents for _, cents in entries)])
        moved = np.searchsorted(
            [day for day, _ in entries], [day.toordinal() for day in starts], side="right"
        )
        return np.array([amount_of(int(sums[k]), case.machine.currency) for k in moved])


@dataclass(frozen=True)
class Life:
    """One package of a cluster in all futures, every retrofit paid.

    Parameters
    ----------
    journey
        What happens to it.
    flow, bill
        By period, what it costs to keep and in lost margin, and what its retrofits cost, shape
        (T, N) each [money, discounted].
    """

    journey: Journey
    flow: Floats
    bill: Floats


def life(found: Valued, cluster: int, state: int) -> Life:
    """One package of a cluster whose packages are all valued, every retrofit paid."""
    cost, count = found.costs[cluster], found.world.valued.count
    size = max(BLOCK // cost.lattice.reachable(state)[0].size, 64)
    parts = [
        _life_of(Passage(found.world, cost, state, np.arange(start, min(start + size, count))))
        for start in range(0, count, size)
    ]
    first, *others = parts
    journey = first.journey
    for other in others:
        journey = journey.joined(other.journey)
    flow, bill = ([getattr(part, name) for part in parts] for name in ("flow", "bill"))
    return Life(journey, np.concatenate(flow, axis=1), np.concatenate(bill, axis=1))


def _life_of(road: Passage) -> Life:
    flows, bills = [], []
    for t, now in road.decisions():
        road.walk.step(t, now)
        flows.append(road.walk.flow)
        bills.append(road.walk.spent)
    return Life(road.journey(), np.array(flows), np.array(bills))


@dataclass(frozen=True)
class Income:
    """What the machine leaves in each period, and what paying for a retrofit counts then.

    Parameters
    ----------
    work
        What all work would bring after tax, whoever does it, by period, (T, N) [money of the day].
    ramp
        Share of it that the machine does in each period, shape (T,).
    during
        What money that flows in a period counts at the order, shape (T,).
    paying
        What one unit that is paid for a retrofit counts at the order, shape (T,).
    """

    work: Floats
    ramp: Floats
    during: Floats
    paying: Floats

    def net(self, flow: Floats) -> Floats:
        """What is left of the work less what packages cost, (T, n), in as many futures."""
        rows = self.ramp[:, None] * (self.work - flow / self.during[:, None])
        return np.asarray(rows)

    def of(self, some: Indices) -> "Income":
        """In some of the futures."""
        return replace(self, work=self.work[:, some])


def income(found: Valued) -> Income:
    """What the machine leaves in the futures of a case with ways of paying."""
    timeline = found.problem.timeline
    periods = slice(0, timeline.periods)
    paying = timeline.at_start * timeline.retrofit_level / timeline.price_level
    return Income(_work(found), _work_shares(found.case), timeline.during, paying[periods])


def _work(found: Valued) -> Floats:
    """Margin after tax of all work less what no option saves, (T, N) [money]."""
    timeline, growth, world = found.problem.timeline, found.problem.growth, found.world
    alone = dict(found.problem.alone)
    total = np.zeros((timeline.periods, world.valued.count))
    for k in range(len(growth.keys)):
        for t in range(timeline.periods):
            margin = margin_in(growth, timeline, world.valued, stream=k, period=t)
            total[t] += (1.0 - alone.get(k, 0.0)) * margin
    if world.price is not None and world.attendance is not None and found.mix.any_tied:
        total += world.attendance.hours * world.price
    return np.asarray(total * timeline.dt)


def _work_shares(case: Case) -> Floats:
    """Share of its work that the machine does in each period, shape (T,)."""
    ramp, growth = paying_of(case).account.ramp, case.growth
    months = round(growth.horizon_years * MONTHS_PER_YEAR)
    shares = np.array([*ramp, *[1.0] * months])[:months]
    place = ((np.arange(months) + 0.5) * growth.periods_per_year / MONTHS_PER_YEAR).astype(np.intp)
    sums = np.bincount(place, shares, growth.periods)[: growth.periods]
    counts = np.bincount(place, minlength=growth.periods)[: growth.periods]
    return np.asarray(np.where(counts > 0, sums / np.maximum(counts, 1), 1.0))


@dataclass(frozen=True)
class Refusals:
    """What becomes of a package where a retrofit that it wants cannot be paid.

    Parameters
    ----------
    some
        Places of the n futures in which anything is refused.
    walked
        By cluster that wants retrofits in any of them, what happens there.
    refused
        By the same clusters, whether anything was refused, shape (n,).
    """

    package: States
    some: Indices
    walked: Mapping[int, Journey]
    refused: Mapping[int, Bools]


def refusals(
    lives: Sequence[Life], found: Valued, package: States, earned: Income, left: Floats
) -> Refusals:
    """A package lived through with a purse.

    Parameters
    ----------
    lives
        Its clusters with every retrofit paid.
    found, package
        The valued case, and the package.
    earned
        What the machine leaves.
    left
        What is contracted leaves beyond what to keep by then, shape (T,) [money].

    Notes
    -----
    At the start of a period every cluster asks for what the learned policy wants, in their order,
    and gets it where the balance of that day less what to keep pays for it; who is refused asks
    again in the next period. The balance is what is contracted, and what the machine has earned
    after tax less what retrofits have cost so far; hours and visits that clusters share count as
    the clusters see them, and works on the site that a retrofit brings are not asked of it. Only
    futures in which all cannot be paid are lived through again.
    """
    asked = sum(each.bill for each in lives) / earned.paying[:, None]
    net = earned.net(np.sum([each.flow for each in lives], axis=0))
    before = left[:, None] + np.cumsum(net - asked, axis=0) - (net - asked)
    some = np.flatnonzero(((asked > before + ROUNDING) & (asked > 0.0))[1:].any(axis=0))
    wanting = [i for i, each in enumerate(lives) if each.bill[:, some].any()]
    roads = {i: Passage(found.world, found.costs[i], package[i], some) for i in wanting}
    still = [each.flow[:, some] for i, each in enumerate(lives) if i not in roads]
    net = earned.of(some).net(np.sum([np.zeros((len(left), len(some))), *still], axis=0))
    refused = _refused_by_cluster(roads, net, earned, left) if wanting else {}
    return Refusals(package, some, {i: road.journey() for i, road in roads.items()}, refused)


def _refused_by_cluster(
    roads: Mapping[int, Passage], net: Floats, earned: Income, left: Floats
) -> dict[int, Bools]:
    """Who was refused anything; `net` is what is left before what the roads cost, (T, n)."""
    purse = _Purse(np.zeros(net.shape[1]))
    refused = {i: np.zeros(net.shape[1], dtype=bool) for i in roads}
    for steps in zip(*(road.decisions() for road in roads.values()), strict=True):
        t = steps[0][0]
        purse.open_date(left[t] - left[t - 1] if t else left[0], earned.paying[t])
        for (i, road), (_, now) in zip(roads.items(), steps, strict=True):
            refused[i] |= road.walk.step(t, now, purse.pays)
        flow = np.sum([road.walk.flow for road in roads.values()], axis=0)
        purse.left = purse.left + net[t] - earned.ramp[t] * flow / earned.during[t]
    return refused


@dataclass
class _Purse:
    """What is there to pay retrofits from.

    Parameters
    ----------
    left
        In each of n futures [money of the day].
    worth
        What one unit of it counts at the order if it is paid for a retrofit.
    """

    left: Floats
    worth: float = 1.0

    def open_date(self, more: float, worth: float) -> None:
        """A new date: so much has been moved by what is contracted since."""
        self.left, self.worth = self.left + more, worth

    def pays(self, bill: Floats) -> Bools:
        """Who can pay a bill; it is paid."""
        asked = bill / self.worth
        able = asked <= self.left + ROUNDING
        self.left = np.where(able, self.left - asked, self.left)
        return np.asarray(able)


def whole_journeys(lives: Sequence[Life], found: Refusals) -> tuple[Journey, ...]:
    """What happens to a package in all futures, one a cluster."""
    return tuple(
        journey_with_other(each.journey, found.some, found.walked[i])
        if i in found.walked
        else each.journey
        for i, each in enumerate(lives)
    )


def added_cost(lives: Sequence[Life], found: Valued, one: Refusals) -> Floats:
    """What being refused adds to the NPC of a package in the futures of `one`, (n,) [money]."""
    total = np.zeros(len(one.some))
    for i, journey in one.walked.items():
        total += journey.cost - lives[i].journey.cost[one.some]
    before = [journey_in(each.journey, one.some) for each in lives]
    after = [one.walked.get(i, each) for i, each in enumerate(before)]
    world = _world_at(found.world, one.some)
    if found.mix.any_tied:
        mixed = Mixed(world, found.costs)
        first, second = (_trails(found, mixed, journeys) for journeys in (before, after))
        total += mixed.cost_of(second) - mixed.cost_of(first)
    if found.site.steps:
        site = SiteTerm(
            found.site.steps,
            problem=found.problem,
            world=world,
            costs=tuple(replace(cost, moves=None) for cost in found.costs),
            means=found.means,
        )
        site.bills.knows(one.package, after)
        total += site.cost(one.package) - found.site.cost(one.package)[one.some]
    return total


def _world_at(world: World, some: Indices) -> World:
    kept = None
    if world.price is not None and world.learned_price is not None:
        kept = world.price[:, some], world.learned_price
    return replace(world, valued=world.valued.at(some), kept=kept)


def _trails(
    found: Valued, mixed: Mixed, journeys: Sequence[Journey]
) -> dict[int, tuple[Trail, ...]]:
    return {i: trails_of(found.costs[i].lattice, journeys[i]) for i in mixed.tied}
