"""Packages that a search did not keep, valued beside those that it did."""

from dataclasses import replace

import numpy as np

from optioneer.model.candidates import fitted
from optioneer.model.machine import Package
from optioneer.model.orderable import Orders
from optioneer.study.valued import Valued
from optioneer.valuation.cluster import ClusterCost
from optioneer.valuation.journey import Journey
from optioneer.valuation.listed import Appraisal, Listed, listed
from optioneer.valuation.terms import Levels


def with_package(found: Valued, package: Package) -> Valued:
    """`found` with `package` among those valued, whatever its searches kept.

    Parameters
    ----------
    found
        The valued case.
    package
        One that can be ordered.
    """
    if not found.searches:
        return found
    index = {name: i for i, name in enumerate(found.problem.options)}
    held = {index[name] for name in fitted(Orders(found.case.catalogue), package)}
    costs = (_with_options(found, cost, held) for cost in found.costs)
    return replace(found, costs=tuple(costs))


def _with_options(found: Valued, cost: ClusterCost, held: set[int]) -> ClusterCost:
    lattice = cost.lattice
    if not isinstance(lattice, Listed):
        return cost
    levels = lattice.terms.levels_of(held)
    if levels in lattice.packages:
        return cost
    return _joined(cost, Appraisal(lattice.terms, found.world, map).cost([levels]), levels)


def _joined(cost: ClusterCost, more: ClusterCost, levels: Levels) -> ClusterCost:
    """The packages of one valuation, and the single one of another after them."""
    lattice = cost.lattice
    if not isinstance(lattice, Listed) or cost.journeys is None or more.journeys is None:
        raise TypeError("Only lists of packages are joined.")
    first, second, count = cost.journeys, more.journeys, lattice.size

    def journeys(state: int) -> Journey:
        return first(state) if state < count else second(state - count)

    return ClusterCost(
        lattice=listed(lattice.terms, (*lattice.packages, levels)),
        policy=cost.policy,
        learned=np.concatenate([cost.learned, more.learned]),
        hindsight=np.concatenate([cost.hindsight, more.hindsight]),
        rule=np.concatenate([cost.rule, more.rule]),
        best_hindsight=np.minimum(cost.best_hindsight, more.best_hindsight),
        journeys=journeys,
    )
