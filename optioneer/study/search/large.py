"""A cluster with too many packages for a lattice: a search, and how far from the best it can be."""

import os
from dataclasses import dataclass, replace
from functools import cached_property, partial
from typing import cast

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.study.problem.effort import Clock, Effort, Heard, Stopped
from optioneer.study.problem.likeliest import likeliest_case, likeliest_world
from optioneer.study.search.search import Search
from optioneer.valuation.large.doable import view_of
from optioneer.valuation.large.programme import (
    OrderLimits,
    Programme,
    Solution,
    cheapest_order,
    dearest,
    programme,
)
from optioneer.valuation.large.short_list import Appraisal, Listed
from optioneer.valuation.lattice.levels import Levels, Terms
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.policy import Mapper
from optioneer.valuation.worlds.futures import Futures, drawn_futures

CHOOSING, SEARCHING = 16, 512
"""Futures that the programme chooses on, and that packages are compared on while searching."""

LESSONS = 1024
"""Futures that policies are learned from while searching."""

BATCHES, BATCH = 4, 32
"""Independent sets of futures whose least cost bounds what anybody can reach, and their size.

The best order for few futures suits them too well: on the generated catalogue of 60 options sets of
16 leave a gap half as large again.
"""

CHOSEN, PROVEN, SEARCHED, COMPARED = 0.12, 0.6, 0.75, 0.92
"""Shares of the time by which the programme, the bounds, the search and the flips stop."""

FOR_SEARCH, FOR_BOUNDS = 2, 3
"""Which draws the search and the bounds use: 0 and 1 are those of the valuation."""


@dataclass(frozen=True)
class Bound:
    """What the programme proves of one cluster.

    Parameters
    ----------
    least
        By batch, no package costs less on average [money].
    appraisal
        The packages of the cluster on the futures of all batches.
    """

    least: tuple[float, ...]
    appraisal: Appraisal

    def gaps(self, package: Levels) -> Floats:
        """What `package` costs beyond the least in each batch, shape (batches,) [money]."""
        learned = self.appraisal.worth(package, only="learned").learned
        means = learned.reshape(BATCHES, BATCH).mean(axis=1)
        return np.asarray(means[: len(self.least)] - np.array(self.least))


@dataclass(frozen=True)
class Searched:
    """A large cluster after its search.

    Parameters
    ----------
    cost
        The packages that were kept, valued.
    looked_at
        How many packages were compared.
    stopped
        What ended the search early, if anything did.
    """

    cost: ClusterCost
    bound: Bound
    looked_at: int
    stopped: Stopped


@dataclass
class LargeCluster:
    """The search in one large cluster.

    Parameters
    ----------
    cluster
        Which of its clusters.
    run
        A map over all cores.
    """

    case: Case
    problem: Problem
    world: World
    cluster: int
    effort: Effort
    run: Mapper
    heard: Heard

    def searched(self) -> Searched:
        """The packages worth knowing of, valued, and the bound."""
        clock = Clock(self.effort.seconds)
        found = Search(self.terms, self.appraisal(self._few), self.run, clock, self.room)
        least: list[float] = []
        steps = (
            partial(self._choose, found, clock),
            partial(self._prove, least, clock),
            partial(found.improve, SEARCHED),
            partial(found.compare, COMPARED),
            partial(self._frontier, found, clock),
        )
        for number, step in enumerate(steps if self.effort.search else (), 1):
            clock.attempt(step)
            self.heard.now(0.75 * number / len(steps))
        cost = self.appraisal(self.world).cost(self._kept(found), self.run)
        self.heard.now(1.0)
        bound = Bound(tuple(least), self.appraisal(self._batches))
        return Searched(cost, bound, len(found.means), clock.stopped)

    @cached_property
    def terms(self) -> Terms:
        """The cluster."""
        lattice = self.problem.lattices[self.cluster]
        if not isinstance(lattice, Listed):
            raise TypeError("Only clusters without a lattice are searched.")
        return lattice.terms

    @cached_property
    def room(self) -> float | None:
        """Most that may be paid in this cluster, where a budget is kept [money]."""
        if self.effort.budget is None:
            return None
        others = (
            lattice.terms.order_price(cheapest_order(lattice.terms))
            if isinstance(lattice, Listed)
            else float(lattice.price.min()) / self.problem.order_factor
            for i, lattice in enumerate(self.problem.lattices)
            if i != self.cluster
        )
        return self.effort.budget - self.case.machine.base_price - sum(others)

    def appraisal(self, world: World) -> Appraisal:
        """Packages of the cluster on the futures of a world."""
        return Appraisal(self.terms, world, map)

    @cached_property
    def _few(self) -> World:
        """Futures to search on."""
        few = self._drawn(SEARCHING, FOR_SEARCH)
        lessons = self.world.learned.block(0, min(LESSONS, self.world.learned.count))
        return replace(self.world, valued=few, learned=lessons)

    @cached_property
    def _batches(self) -> World:
        """Futures of all batches; each batch holds whole independent sets."""
        return replace(self.world, valued=self._drawn(BATCHES * BATCH, FOR_BOUNDS))

    def _drawn(self, count: int, use: int) -> Futures:
        return drawn_futures(
            self.problem.growth,
            self.problem.timeline,
            options=self.problem.options,
            count=count,
            seed=self.case.growth.seed,
            use=use,
        )

    def _choose(self, found: Search, clock: Clock) -> None:
        """Where the search starts: the programme's package on a few futures."""
        found.seen(self._given())
        for futures in (self._likeliest(), self._spread_out(CHOOSING)):
            package = self._best_on(
                futures, OrderLimits(self.room, seconds=clock.left(CHOSEN), within=0.005)
            )
            if package is not None:
                found.seen([package])
                found.likeliest = found.likeliest or package

    def _spread_out(self, count: int) -> World:
        """So many futures of the search's, from all of its independent sets."""
        few = self._few.valued
        step = max(few.count // count, 1)
        return replace(self.world, valued=few.every(step))

    def _likeliest(self) -> World:
        sure = likeliest_case(self.case)
        problem = problem_of(
            sure, order_factor=self.problem.order_factor, lattices=self.problem.lattices
        )
        return likeliest_world(sure, problem, self.world.shop)

    def _best_on(self, world: World, asked: OrderLimits) -> Levels | None:
        return self._solved(programme(self.terms, view_of(self.terms, world)), asked).package

    def _solved(self, made: Programme, asked: OrderLimits) -> Solution:
        """What the solver finds beside the main thread, so that Ctrl-C is heard at once."""
        (found,) = self.run(made.solution, [asked])
        return cast("Solution", found)

    def _frontier(self, found: Search, clock: Clock) -> None:
        """Packages for smaller budgets."""
        made = programme(self.terms, view_of(self.terms, self._spread_out(CHOOSING // 3)))
        low = self.terms.order_price(cheapest_order(self.terms))
        high = self.terms.order_price(found.best)
        for share in (0.25, 0.5, 0.75):
            if clock.over():
                return
            room = low + share * (high - low)
            asked = OrderLimits(room, seconds=clock.left(), within=0.01)
            package = self._solved(made, asked).package
            if package is not None:
                found.seen([package])

    def _given(self) -> list[Levels]:
        """Packages that are valued in any case: the case's own, the bare, the dearest machine."""
        asked = (*self.case.packages, *self.effort.also, Package(id="base"))
        held = [frozenset(everything_fitted(Orders(self.case.catalogue), one)) for one in asked]
        given = [self._levels(options) for options in held]
        return [*given, dearest(self.terms), cheapest_order(self.terms)]

    def _levels(self, options: frozenset[str]) -> Levels:
        """Levels that hold some options, by name."""
        index = {name: i for i, name in enumerate(self.problem.options)}
        return self.terms.levels_of({index[name] for name in options})

    def _kept(self, found: Search) -> list[Levels]:
        """Packages that the valuation keeps, what must be there first."""
        if not found.means:
            return self._given()
        return [*self._given(), *found.kept()]

    def _prove(self, least: list[float], clock: Clock) -> None:
        """The least cost of every batch, as far as time allows, added to `least`."""
        for bound in self.run(partial(self._least, clock), range(BATCHES)):
            if not np.isfinite(bound):
                return
            least.append(bound)

    def _least(self, clock: Clock, batch: int) -> float:
        """No package costs less than this on the futures of a batch; minus infinity if unknown."""
        if clock.over(PROVEN):
            return -np.inf
        futures = self._batches.valued.block(batch * BATCH, (batch + 1) * BATCH)
        made = programme(self.terms, view_of(self.terms, replace(self.world, valued=futures)))
        rounds = -(-(BATCHES - batch) // (os.cpu_count() or 1))
        seconds = clock.left(PROVEN) / rounds
        return made.solution(OrderLimits(self.room, seconds=seconds, within=0.002)).bound
