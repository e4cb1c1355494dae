"""A case valued: every package of every cluster on the same futures."""

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.cash.financing import (
    at_rate,
    cash_factor,
    income_tax_rate,
    shop_rate,
    used_factor,
)
from optioneer.study.problem.arrays import ON_TIME, Problem, Start, problem_of
from optioneer.study.problem.copies import allowed
from optioneer.study.problem.cores import by_size, parallel
from optioneer.study.problem.effort import Effort, Heard, Progress, part_of
from optioneer.study.problem.futures import (
    FEWEST_LESSONS,
    WorkMargins,
    constant_cost,
    lost_alone,
    work_margins,
    world_of,
)
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.ready.step_costs import SiteStep, site_steps
from optioneer.study.search.large import LargeCluster, Searched
from optioneer.study.site_costs.site_bills import States
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.study.worth.far import Drawn, sweep_far, sweep_in_two
from optioneer.valuation.cache.lives import remembered_journey
from optioneer.valuation.cache.swept import cluster_cost
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.shared_hours.real_mix import MixTerm
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.journey import Journey
from optioneer.valuation.timing.policy import Mapper

SWEPT = 0.1
"""Part of the work that sweeping the other clusters is where one is searched."""


@dataclass(frozen=True)
class Valued:
    """A case with every package valued.

    Parameters
    ----------
    problem
        The case as arrays.
    costs
        One a cluster.
    searches
        By cluster, the searches in those that have too many packages to value them all.
    """

    case: Case
    problem: Problem
    world: World
    costs: tuple[ClusterCost, ...]
    searches: Mapping[int, Searched] = field(default_factory=dict)

    @cached_property
    def constant(self) -> Floats:
        """Cost that no choice changes, in each future, shape (N,) [money]."""
        return constant_cost(self.problem, self.world)

    @cached_property
    def site(self) -> SiteTerm:
        """What the site adds to the cost of each package."""
        return SiteTerm(
            self._steps(),
            problem=self.problem,
            world=self.world,
            costs=self.costs,
            means=self.means,
        )

    def _steps(self) -> tuple[SiteStep, ...]:
        """Steps of the site whose level depends on the package; none without a site."""
        if self.case.site is None:
            return ()
        left, paying = 1.0 - income_tax_rate(self.case), cash_factor(self.case)
        steps = site_steps(at_rate(self.case, shop_rate(self.case)))
        return tuple(step.taxed(paying, left).worth(self.problem.ordered) for step in steps)

    @cached_property
    def prices(self) -> tuple[Floats, ...]:
        """Price of every state beyond the base price, shape (P,) a cluster, in whole cents."""
        factor = self.problem.order_factor
        return tuple(np.round(cost.lattice.price / factor, 2) for cost in self.costs)

    def price(self, package: States) -> float:
        """What the dealer is paid for `package`, in whole cents [money]."""
        parts = (prices[state] for prices, state in zip(self.prices, package, strict=True))
        return round(self.case.machine.base_price + float(sum(parts)), 2)

    @cached_property
    def means(self) -> tuple[Floats, ...]:
        """Mean cost of every state under the learned policy, shape (P,) a cluster [money]."""
        return tuple(cost.learned.mean(axis=1) for cost in self.costs)

    def cost(self, package: States) -> Floats:
        """NPC of `package` in each future under the learned policy, site included, shape (N,)."""
        return self.apart(package) + self.mix.cost(package)

    def apart(self, package: States) -> Floats:
        """The same with hours paid at their price instead of shared in the best mix, (N,)."""
        parts = (cost.learned[state] for cost, state in zip(self.costs, package, strict=True))
        return self.constant + sum(parts, start=self.site.cost(package))

    def beyond(self, other: States, chosen: States) -> Floats:
        """NPC of one package less that of another, by future, shape (N,) [money]."""
        parts = (
            cost.learned[there] - cost.learned[here]
            for cost, there, here in zip(self.costs, other, chosen, strict=True)
            if there != here
        )
        apart = sum(parts, start=self.site.cost(other) - self.site.cost(chosen))
        return apart + self.mix.beyond(other, chosen)

    def journeys(self, package: States) -> tuple[Journey, ...]:
        """What happens to `package` after the order, one a cluster."""
        count = self.world.valued.count
        with by_size() as run:
            return tuple(
                remembered_journey(self.world, cost, state, run(cost.lattice.size * count))
                for cost, state in zip(self.costs, package, strict=True)
            )

    @cached_property
    def mix(self) -> MixTerm:
        """What the best mix of work earns less than the clusters at their price of an hour."""
        return MixTerm(self.world, self.costs)

    @cached_property
    def margin(self) -> Floats:
        """Margin of all work that comes, in each future, shape (N,) [money]."""
        return self._work.whole

    @cached_property
    def not_buying(self) -> Floats:
        """What the shop has in each future that buys no machine at all, shape (N,) [money]."""
        return self._work.kept

    @cached_property
    def _work(self) -> WorkMargins:
        return work_margins(self.case, self.problem, self.world)

    @cached_property
    def lost_anyway(self) -> Floats:
        """Margin of streams that no option serves which is lost whatever is ordered, (N,)."""
        return lost_alone(self.problem, self.world)

    def outcome(self, package: States) -> Floats:
        """What the shop has in the end: margin earned less all that is paid, shape (N,) [money]."""
        return self.margin - self.cost(package)

    def cluster_of(self, option: int) -> int:
        """The cluster with the option of this index."""
        return self._clusters[option]

    @cached_property
    def _clusters(self) -> dict[int, int]:
        """The cluster of each option."""
        return {
            option: cluster
            for cluster, cost in enumerate(self.costs)
            for fitted in cost.lattice.fitted
            for option in fitted
        }

    def options(self, package: States) -> tuple[str, ...]:
        """Ids of everything `package` holds, sorted."""
        held = (
            self.problem.options[option]
            for cost, state in zip(self.costs, package, strict=True)
            for option in cost.lattice.options(state)
        )
        return tuple(sorted(held))


def valued_case(
    case: Case,
    *,
    order_factor: float | None = None,
    effort: Effort | None = None,
    fewest_lessons: int = FEWEST_LESSONS,
    start: Start = ON_TIME,
    progress: Progress | None = None,
    far: Mapper | None = None,
    bounds: bool = True,
) -> Valued:
    """`case` with every package valued, or the best that a search finds where they are too many.

    Parameters
    ----------
    order_factor
        Present value of paying for the order, per unit of price; none: that of the plan which
        the case uses.
    effort
        What may be spent on clusters of related slots with too many packages to value them all.
    fewest_lessons
        Futures to learn from at least.
    start
        When the machine is there, on a calendar that several share.
    far
        Workers that sweep the clusters, from `executor.opened`; none: this process.
    bounds
        Whether anybody asks for costs with the future known or under the rule.
    """
    case = with_first_chips(case)
    factor = used_factor(case) if order_factor is None else order_factor
    spent, began = effort or Effort(), time.monotonic()
    problem = problem_of(case, order_factor=factor, start=start, seconds=spent.swept)
    world = world_of(case, problem, fewest_lessons)
    large = [i for i, lattice in enumerate(problem.lattices) if isinstance(lattice, Listed)]
    told = part_of(progress, 0.0, SWEPT) if large else progress
    if far is not None:
        drawn = Drawn(case, factor, start, spent.swept, fewest_lessons, bounds)
        sweep_far(drawn, world, problem, far)
    elif allowed():
        sweep_in_two(world, problem, told, bounds=bounds)
    costs = _costs(world, problem.lattices, told, bounds=bounds)
    left = spent.after(time.monotonic() - began)
    searches = _searches(case, problem, world, left, part_of(progress, SWEPT, 1.0))
    costs |= {cluster: one.cost for cluster, one in searches.items()}
    found = Valued(case, problem, world, tuple(costs[i] for i in sorted(costs)), searches)
    must_be_finite(found)
    return found


def must_be_finite(found: Valued) -> None:
    """Nothing is told of sums that came out as no number: that would be a fault of the program.

    Raises
    ------
    FloatingPointError
        If the cost of any package that can be ordered is not finite.
    """
    orderable = (cost.lattice.orderable for cost in found.costs)
    means = (mean[able] for mean, able in zip(found.means, orderable, strict=True))
    if not all(np.isfinite(each).all() for each in (*means, found.constant.mean())):
        growth = found.case.growth
        raise FloatingPointError(
            f"A cost of case '{found.case.name}' is not a finite number "
            f"with seed {growth.seed} and {growth.futures} futures."
        )


def _costs(
    world: World, lattices: Sequence[Lattice], progress: Progress | None, *, bounds: bool
) -> dict[int, ClusterCost]:
    """What the packages of each cluster that has a lattice cost; the largest are begun first."""
    sizes = {i: each.size for i, each in enumerate(lattices) if not isinstance(each, Listed)}
    order = sorted(sizes, key=lambda i: -sizes[i])
    costs: dict[int, ClusterCost] = {}

    def tell() -> None:
        if progress is not None and sizes:
            progress(sum(sizes[i] for i in costs) / sum(sizes.values()))

    with by_size(tell) as run:
        for i in order:
            mapper = run(sizes[i] * world.valued.count)
            costs[i] = cluster_cost(world, lattices[i], mapper, bounds=bounds)
            tell()
    return costs


def _searches(
    case: Case, problem: Problem, world: World, effort: Effort, progress: Progress | None
) -> dict[int, Searched]:
    """The clusters that have none, searched one after the other."""
    large = [i for i, lattice in enumerate(problem.lattices) if isinstance(lattice, Listed)]
    own = replace(effort, seconds=effort.seconds / max(len(large), 1))
    found: dict[int, Searched] = {}
    for number, cluster in enumerate(large):
        told = part_of(progress, number / len(large), (number + 1) / len(large))
        heard = Heard(told)
        with parallel(heard.again) as run:
            search = LargeCluster(case, problem, world, cluster, own, run, heard)
            found[cluster] = search.searched()
    return found
