"""One package in the single likeliest future, laid out so that a person can add it up again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.papers.likeliest_mix import Mix, likeliest_mix
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.futures import constant_cost, world_of
from optioneer.study.problem.likeliest import likeliest_case
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.lattice.lattice import Lattice, Target
from optioneer.valuation.lattice.moves import best_choice, best_moves
from optioneer.valuation.lattice.outlays import flow_cost, horizon_cost
from optioneer.valuation.lattice.view import View
from optioneer.valuation.shared_hours.call_outs import SharedCalls
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.worlds.timeline import Timeline

BOUGHT = "hours beyond the attended (price of one; 1 less how many)"
"""What stands in the place of a stream for hours that are bought."""


@dataclass(frozen=True)
class LikelyFitting:
    """An option that is fitted later.

    Parameters
    ----------
    period
        At whose start it is fitted.
    price, multiplier
        Its factory price [money] and the likeliest multiple of it.
    downtime_days
        Machine days lost [days].
    """

    option: str
    period: int
    price: float
    multiplier: float
    downtime_days: float


@dataclass(frozen=True)
class LikelyVisit:
    """A call-out that fittings of one period share.

    Parameters
    ----------
    charge
        Charge at the order date [money].
    """

    name: str
    period: int
    charge: float


@dataclass(frozen=True)
class LikelyWork:
    """A stream of work.

    Parameters
    ----------
    arrival, end
        First period with it, and first one without it again.
    margin
        Likeliest margin [money/year] of the order date.
    growth
        Of the margin since first chips [1/year].
    earned
        Share of it that the machine earns, by period.
    """

    stream: str
    arrival: int
    end: int
    margin: float
    growth: float
    earned: tuple[float, ...]


@dataclass(frozen=True)
class LikeliestAccount:
    """Everything that the NPC of a package in the likeliest future is made of.

    Parameters
    ----------
    base_price, beyond
        Price of the machine, and of the package beyond it [money].
    order_factor, retrofit_factors
        Present value of paying per unit of price, of the order and of a retrofit.
    margin_per_day
        What a day of downtime costs [money/day].
    base_resale, resale
        What comes back at the horizon: for the machine, for what is fitted then [money].
    site
        Works on the site that the order makes necessary [money].
    upkeep
        Of what is fitted, by period [money/year].
    work, fittings, visits
        Streams, later fittings and their call-outs.
    npc
        NPC as the valuation has it [money].
    """

    timeline: Timeline
    base_price: float
    beyond: float
    order_factor: float
    retrofit_factors: tuple[float, ...]
    margin_per_day: float
    base_resale: float
    resale: float
    site: float
    upkeep: tuple[float, ...]
    work: tuple[LikelyWork, ...]
    fittings: tuple[LikelyFitting, ...]
    visits: tuple[LikelyVisit, ...]
    npc: float


def likeliest_account(found: Valued, package: Package) -> LikeliestAccount:
    """The account of a package when the likeliest future is what happens.

    Retrofits are the best ones for that future, known in advance. Bigger works on the site that
    such retrofits would make necessary later are left out.

    Parameters
    ----------
    package
        A package that can be ordered.

    Raises
    ------
    TooLargeError
        A cluster of related slots has too many packages to value them all.
    """
    must_be_swept(found.case, "An account of the likeliest future")
    case = likeliest_case(found.case)
    problem = problem_of(case, order_factor=found.problem.order_factor)
    world = world_of(case, problem, shop=found.world.shop)
    world = replace(world, valued=world.valued.block(0, 1))
    states = states_of(found, package)
    paths = [
        _path(case, problem, world, *pair) for pair in zip(problem.lattices, states, strict=True)
    ]
    mix = likeliest_mix(world, problem.lattices, [path.working for path in paths])
    machine, factor = case.machine, problem.order_factor
    left = 1.0 - income_tax_rate(case)
    site = found.site.now(states) if found.site.steps else 0.0
    return LikeliestAccount(
        timeline=problem.timeline,
        base_price=machine.base_price,
        beyond=sum(path.price for path in paths) / factor,
        order_factor=factor,
        retrofit_factors=problem.timeline.paying or (1.0,) * (problem.timeline.periods + 1),
        margin_per_day=left * machine.margin_per_day,
        base_resale=left * machine.resale_share * machine.base_price,
        resale=sum(path.resale for path in paths),
        site=site,
        upkeep=tuple(sum(values) for values in zip(*(path.upkeep for path in paths), strict=True)),
        work=(*_work(problem, world, paths, mix), *_bought(problem, mix)),
        fittings=tuple(one for path in paths for one in path.fittings),
        visits=tuple(_each_once(problem, paths)),
        npc=float(constant_cost(problem, world)[0])
        + site
        + sum(path.price + path.cost for path in paths)
        + (0.0 if mix is None else mix.overpaid)
        + _left_to_pay(problem, world, paths),
    )


@dataclass(frozen=True)
class _Made:
    """A retrofit: number of its target, period, state before and after."""

    number: int
    period: int
    before: int
    after: int


@dataclass(frozen=True)
class _Path:
    """One cluster's way through the future."""

    price: float
    cost: float
    resale: float
    working: tuple[int, ...]
    trail: tuple[int, ...]
    upkeep: tuple[float, ...]
    earned: dict[int, tuple[float, ...]]
    fittings: tuple[LikelyFitting, ...]
    visits: tuple[LikelyVisit, ...]


def _path(case: Case, problem: Problem, world: World, lattice: Lattice, start: int) -> _Path:
    view = world.view(lattice, world.valued)
    after, cost = _costs(view)
    states = [start]
    for t in range(1, view.timeline.periods):
        estimate = np.where(lattice.valid[:, None], after[t], 0.0)
        choice = best_choice(lattice, view.charges(range(t, t + 1)), estimate)
        states.append(int(choice.state[states[-1], 0]))
    # what is fitted at t works from t + 1 on
    working = [start, *states[:-1]]
    made = [
        _Made(number, t, working[t], states[t])
        for t in range(1, len(states))
        for number, target in enumerate(lattice.targets)
        if _is_made(lattice, target, working[t], states[t])
    ]
    fittings = tuple(_fitting(view, problem.options, case, one) for one in made)
    return _Path(
        price=float(lattice.price[start]),
        cost=float(cost[start, 0]),
        resale=float(lattice.resale[states[-1]]),
        working=tuple(working),
        trail=(start, *states),
        upkeep=tuple(float(lattice.upkeep[state]) for state in working),
        earned={
            int(k): tuple(1.0 - float(lattice.lost[state, row]) for state in working)
            for row, k in enumerate(lattice.streams)
        },
        fittings=fittings,
        visits=tuple(_visits(case, fittings)),
    )


def _costs(view: View) -> tuple[list[Floats], Floats]:
    """Cost after the retrofits of each period by state, and from the order on, shape (P, 1)."""
    periods = view.timeline.periods
    after: list[Floats] = [np.empty(0)] * periods
    cost = horizon_cost(view)
    for t in range(periods - 1, -1, -1):
        cost[~view.lattice.valid] = np.inf
        after[t] = cost.copy()
        if t > 0:
            cost = best_moves(view.lattice, view.charges(range(t, t + 1)), cost)
        now = range(t, t + 1)
        cost = cost + flow_cost(view, now, view.known_level(now))
    return after, cost


def _is_made(lattice: Lattice, target: Target, before: int, after: int) -> bool:
    level = lattice.levels[target.axis]
    return bool(level[after] == target.level and level[before] != target.level)


def _fitting(view: View, names: Sequence[str], case: Case, made: _Made) -> LikelyFitting:
    target = view.lattice.targets[made.number]
    plain, eased = view.multipliers[made.number]
    multiplier, easing = plain, target.easing
    if easing is not None and eased is not None:
        holder = made.before if easing.axis == target.axis else made.after
        if view.lattice.levels[easing.axis][holder] == easing.level:
            multiplier = eased
    option = case.catalogue.by_id[names[target.option]]
    return LikelyFitting(
        option.option, made.period, option.listed_later, float(multiplier[0]), option.downtime_days
    )


def _visits(case: Case, fittings: Sequence[LikelyFitting]) -> Iterator[LikelyVisit]:
    """The call-outs of the fittings of one cluster, each once a period."""
    called = dict.fromkeys(
        (one.period, name)
        for one in fittings
        if (name := case.catalogue.by_id[one.option].call_out) is not None
    )
    for period, name in called:
        yield LikelyVisit(name, period, case.call_outs[name])


def _each_once(problem: Problem, paths: Sequence[_Path]) -> Iterator[LikelyVisit]:
    """The visits of all clusters; one that several call for is there once."""
    told: set[object] = set()
    for lattice, path in zip(problem.lattices, paths, strict=True):
        shared = {turns.call_out: turns.streams for turns in lattice.turns if turns is not None}
        for visit in path.visits:
            key = shared.get(visit.name), visit.name, visit.period
            if visit.name not in shared or key not in told:
                yield visit
            told.add(key)


def _left_to_pay(problem: Problem, world: World, paths: Sequence[_Path]) -> float:
    """What shared visits cost beyond what the clusters pay for them in turns [money]."""
    calls = SharedCalls(world, problem.lattices)
    trails = {
        i: ((problem.lattices[i], np.array(paths[i].trail, dtype=np.int32)[:, None]),)
        for i in calls.clusters
    }
    return float(calls.left_to_pay(trails)[0])


def _bought(problem: Problem, mix: Mix | None) -> Iterator[LikelyWork]:
    """Hours beyond the attended ones as a row of work: their price, 1 less how many."""
    if mix is not None and problem.attendance is not None and any(mix.bought):
        yield LikelyWork(
            stream=BOUGHT,
            arrival=0,
            end=problem.timeline.periods,
            margin=problem.attendance.beyond,
            growth=0.0,
            earned=tuple(1.0 - hours for hours in mix.bought),
        )


def _work(
    problem: Problem, world: World, paths: Sequence[_Path], mix: Mix | None
) -> tuple[LikelyWork, ...]:
    """Every stream, whether an option serves it or none."""
    periods, growth, futures = problem.timeline.periods, problem.growth, world.valued
    earned = {k: shares for path in paths for k, shares in path.earned.items()}
    earned |= {k: (1.0 - lost,) * periods for k, lost in problem.alone}
    earned |= {} if mix is None else mix.earned
    return tuple(
        LikelyWork(
            stream=growth.keys[k],
            arrival=int(futures.arrival[k, 0]),
            end=int(min(futures.arrival[k, 0] + growth.life[k], periods)),
            margin=float(futures.level[k, 0]),
            growth=float(growth.growth[k]),
            earned=shares,
        )
        for k, shares in sorted(earned.items())
    )
