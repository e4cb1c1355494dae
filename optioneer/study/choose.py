"""Packages by the names of their options."""

from collections.abc import Sequence

from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.model.candidates import fitted, package_faults
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.orderable import Orders
from optioneer.study.valued import Package as States
from optioneer.study.valued import Valued


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


def states_of(valued: Valued, package: Package) -> States:
    """The state of each cluster that ordering `package` gives.

    After a search the package must be among those valued, see `joined.with_package`.
    """
    held = set(fitted(Orders(valued.case.catalogue), package))
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
