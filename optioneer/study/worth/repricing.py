"""A valued case with one cluster valued otherwise: the others, and all futures, stay."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from functools import cache, cached_property, partial

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.model.case import Case
from optioneer.study.problem.arrays import growth_of
from optioneer.study.problem.clusters import cluster_lattice
from optioneer.study.problem.effort import Clock
from optioneer.study.problem.futures import with_draws, world_of
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import least_elsewhere
from optioneer.study.worth.changes import Scaled, ScaledChances
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.swept import Taught, cluster_cost, learned_means
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.useful import states_from
from optioneer.valuation.timing.cluster import ClusterCost, World, policy_of
from optioneer.valuation.timing.policy import Mapper

Other = Callable[[Lattice], Lattice]
"""A lattice made otherwise."""


def repriced(
    found: Valued, case: Case, cluster: int, run: Mapper, *, other: Other | None = None
) -> Valued:
    """`found` with one cluster as it is in `case`, with a policy learned for it.

    Parameters
    ----------
    case
        The same but for prices, credits or retrofits of options of that cluster.
    cluster
        The cluster.
    run
        How blocks of futures are gone through.
    other
        What is changed of its lattice besides.

    Notes
    -----
    The draws hang on none of that, nor the price of an hour where it can be fitted later: it is
    found at what options list for later (`at_list_prices`). So this is what valuing `case`
    would give.
    """
    lattice = cluster_lattice(case, cluster, order_factor=found.problem.order_factor)
    lattice = lattice if other is None else other(lattice)
    cost = cluster_cost(found.world.at_these_prices(), lattice, run)
    return _with_cost(replace(found, case=case), cluster, cost)


def with_more_to_pay(found: Valued, cluster: int, beyond: Floats) -> Valued:
    """`found` with so much more to pay with the order for each state of a cluster.

    Parameters
    ----------
    cluster
        The cluster.
    beyond
        Shape (P,) [money of the order date].
    """
    cost, factor = found.costs[cluster], found.problem.order_factor
    more = factor * beyond
    paid = replace(
        cost,
        lattice=replace(cost.lattice, price=cost.lattice.price + more),
        learned=cost.learned + more[:, None],
        hindsight=cost.hindsight + more,
        rule=cost.rule + more,
        best_hindsight=np.full_like(cost.best_hindsight, np.nan),
    )
    other = _with_cost(found, cluster, paid)
    # What the site adds hangs on no price: all that was worked out of it is kept.
    vars(other)["site"] = found.site.paid(other.means)
    return other


def _with_cost(found: Valued, cluster: int, cost: ClusterCost) -> Valued:
    costs = tuple(cost if i == cluster else each for i, each in enumerate(found.costs))
    lattices = tuple(each.lattice for each in costs)
    return replace(found, problem=replace(found.problem, lattices=lattices), costs=costs)


ROUGH_FUTURES = 512
"""Futures on which a turn is looked for before it is settled on those of the case."""

_Asked = tuple[int, Scaled | None, States]
"""A cluster, what is changed, and the states that are asked for; none: all."""


class OutOfTimeError(Exception):
    """The time that was left is used up."""


@dataclass(frozen=True)
class ChangedCosts:
    """What the packages of a valued case cost once a figure is changed; what was valued is kept.

    Parameters
    ----------
    found
        The case; of its costs only the means are read.
    budget
        Limit on the price of the package, if any [money].
    clock
        Says when to stop.
    """

    found: Valued
    budget: float | None
    run: Mapper
    clock: Clock
    _means: dict[tuple[_Asked, Scaled | None], Floats] = field(default_factory=dict)
    _taught: dict[_Asked, Taught] = field(default_factory=dict)

    @property
    def few(self) -> bool:
        """Whether there are no fewer futures on which turns can be looked for first."""
        return self.found.case.growth.futures <= ROUGH_FUTURES

    @cached_property
    def rough(self) -> "ChangedCosts":
        """The same on fewer futures."""
        case = with_draws(self.found.case, ROUGH_FUTURES)
        world = world_of(case, self.found.problem, ROUGH_FUTURES)
        found = replace(self.found, case=case, world=world)
        return ChangedCosts(found, self.budget, self.run, self.clock)

    def ordering_pays(self, option: str) -> bool:
        """Whether ordering `option` costs less than not ordering it as the case is."""
        index = self.found.problem.options.index(option)
        cluster = self.found.cluster_of(index)
        costs, holding = self.here(cluster), self.found.costs[cluster].lattice.holding(index)
        return bool(costs[holding].min() < costs[~holding].min())

    def here(self, cluster: int) -> Floats:
        """Mean cost of each state of a cluster as the case is, the others' added, (P,) [money]."""
        return self.found.means[cluster] + self.elsewhere[cluster]

    @cached_property
    def elsewhere(self) -> list[Floats]:
        """What the other clusters cost at best beside each state, shape (P,) a cluster."""
        count = len(self.found.costs)
        return [least_elsewhere(self.found, i, budget=self.budget) for i in range(count)]

    def means(self, cluster: int, change: Scaled | None) -> Floats:
        """Mean cost of each state of a cluster once `change` is made, shape (P,) [money].

        Raises
        ------
        OutOfTimeError
            If the time is up.
        """
        return self._mean_costs((cluster, change, ()), change)

    def means_near(
        self, cluster: int, changes: tuple[Scaled | None, Scaled | None], states: States
    ) -> Floats:
        """The same of some states, shape (P,), under a policy that was learned nearby [money].

        Parameters
        ----------
        changes
            The one that is made, and the one for which the policy is learned; none: no change.
        states
            That are asked for; none: all. Of those that none of them leads to nothing is told:
            infinite; of the others that are not asked for the cost may be too high.
        """
        made, learned = changes
        return self._mean_costs((cluster, made, states), learned)

    def _mean_costs(self, asked: _Asked, learned: Scaled | None) -> Floats:
        if (asked, learned) not in self._means:
            if self.clock.over():
                raise OutOfTimeError
            cluster, _, states = asked
            world, part, own = self._changed(asked)
            taught = self._taught_at((cluster, learned, states))
            means = np.full(self.found.costs[cluster].lattice.size, np.inf)
            means[own] = learned_means(world, part, self.run, taught=taught)
            self._means[asked, learned] = means
        return self._means[asked, learned]

    def _taught_at(self, asked: _Asked) -> Taught:
        if asked not in self._taught:
            world, part, own = self._changed(asked)
            policy = cache(partial(policy_of, world, part, self.run))
            places = tuple(map(int, np.searchsorted(own, asked[2])))
            self._taught[asked] = Taught(world, part, policy, places)
        return self._taught[asked]

    def _changed(self, asked: _Asked) -> tuple[World, Lattice, Indices]:
        """The futures, the part of the cluster that is asked for, and its states there."""
        cluster, change, states = asked
        case = self.found.case if change is None else change.case_after(self.found.case)
        factor = self.found.problem.order_factor
        lattice = cluster_lattice(case, cluster, order_factor=factor)
        own = states_from(lattice, states) if states else np.arange(lattice.size)
        world = self._world_at_these_prices
        if isinstance(change, ScaledChances):  # multipliers change no future
            world = world.under(growth_of(case))
        return world, lattice.among(own) if states else lattice, own

    @cached_property
    def _world_at_these_prices(self) -> World:
        """The futures, an hour at the price that it has in the case."""
        return self.found.world.at_these_prices()
