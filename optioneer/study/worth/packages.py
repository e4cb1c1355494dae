"""Packages by the names of their options, and by the state of each cluster."""

from collections.abc import Collection, Sequence
from dataclasses import replace

import numpy as np
from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted, package_faults
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.large.short_list import Appraisal, Listed, short_list
from optioneer.valuation.lattice.levels import Levels
from optioneer.valuation.timing.cluster import ClusterCost
from optioneer.valuation.timing.journey import Journey


def asked_package(case: Case, options: Sequence[str], without: Sequence[str]) -> Package:
    """The package that somebody asks for by the names of its options.

    Raises
    ------
    RequestError
        If a name is unknown or the options cannot be ordered together.
    """
    try:
        package = Package(id="asked", options=tuple(options), without=tuple(without))
    except ValidationError as error:
        found = error.errors()[0]["input"]
        raise RequestError(
            f"--package or --without: '{found}' is no id of an option. Ids are lower-case "
            "letters, digits and single hyphens, separated by commas."
        ) from error
    faults = list(package_faults(case.model_copy(update={"packages": (package,)})))
    if faults:
        said = (f"{fault.what}. {fault.allowed}".rstrip() for fault in faults)
        raise RequestError("--package: " + " ".join(said))
    return package


def package_holding(case: Case, name: str, held: Collection[str]) -> Package:
    """The package under `name` that leaves exactly `held` on the machine, standards included.

    Parameters
    ----------
    name
        Id of the package.
    held
        Ids of everything fitted.
    """
    catalogue = case.catalogue
    return Package(
        id=name,
        options=tuple(o.option for o in catalogue.options if o.option in held and not o.standard),
        without=tuple(o.option for o in catalogue.standards if o.option not in held),
    )


def states_of(valued: Valued, package: Package) -> States:
    """The state of each cluster that ordering `package` gives.

    After a search the package must be among those valued, see `joined.with_package`.
    """
    held = set(everything_fitted(Orders(valued.case.catalogue), package))
    return tuple(
        next(
            state
            for state in range(cost.lattice.size)
            if {valued.problem.options[o] for o in cost.lattice.options(state)}
            == held & _members(valued, i)
        )
        for i, cost in enumerate(valued.costs)
    )


def _members(valued: Valued, cluster: int) -> set[str]:
    """Ids of all options of a cluster."""
    fitted_in = valued.costs[cluster].lattice.fitted
    return {valued.problem.options[o] for levels in fitted_in for o in levels if o >= 0}


def with_package(found: Valued, package: Package) -> Valued:
    """`found` with `package` among those valued, whatever its searches kept.

    Parameters
    ----------
    package
        One that can be ordered.
    """
    if not found.searches:
        return found
    index = {name: i for i, name in enumerate(found.problem.options)}
    held = {index[name] for name in everything_fitted(Orders(found.case.catalogue), package)}
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
        lattice=short_list(lattice.terms, (*lattice.packages, levels)),
        policy=cost.policy,
        learned=np.concatenate([cost.learned, more.learned]),
        hindsight=np.concatenate([cost.hindsight, more.hindsight]),
        rule=np.concatenate([cost.rule, more.rule]),
        best_hindsight=np.minimum(cost.best_hindsight, more.best_hindsight),
        journeys=journeys,
    )
