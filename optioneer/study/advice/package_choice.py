"""Which package the money is asked for: one by name, or the advised one."""

from dataclasses import dataclass

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.retrofits import Band, expected_bands
from optioneer.study.problem.effort import Progress
from optioneer.study.worth.best_package import best_package, dearest_package
from optioneer.study.worth.packages import asked_package, package_holding
from optioneer.study.worth.pursed import valued_as_paid
from optioneer.study.worth.valued_case import Valued

BASE, ALL, ADVISED = "base", "all", "advised"
"""Names of the bare standard machine, the dearest package, and the advised one."""


@dataclass(frozen=True)
class Advised:
    """The advice, and the valued case that it comes from."""

    valued: Valued
    advice: Advice

    @property
    def case(self) -> Case:
        """The facts that counted."""
        return self.valued.case

    @property
    def package(self) -> Package:
        """The package that is advised."""
        return package_holding(self.case, "advised", self.advice.advised.options)


def ordered_package(
    case: Case,
    package: str | None,
    without: tuple[str, ...] = (),
    *,
    progress: Progress | None = None,
) -> tuple[Package, tuple[Band, ...]]:
    """The package by its name; with no name the advised one, and the retrofits that may follow.

    Parameters
    ----------
    package
        See `named_package`; `all`: the dearest one; `advised` or none: the advised one.
    without
        Ids of standard items left off.

    Raises
    ------
    RequestError
        A name is unknown, or standards are left off a package that is not named.
    """
    named = asked_by_name(case, package, without)
    if named is not None:
        return named, ()
    ordered, found = weighed_package(case, package, progress=progress)
    return ordered, expected_bands(case, found, ordered)


def asked_by_name(case: Case, package: str | None, without: tuple[str, ...] = ()) -> Package | None:
    """The package that a name or a list of options asks for; none: all have to be weighed first.

    Raises
    ------
    RequestError
        A name is unknown, or standards are left off a package that is not named.
    """
    known = {*case.catalogue.by_id, *(one.id for one in case.packages)}
    if package is not None and (package not in {ALL, ADVISED} or package in known):
        return named_package(case, package, without)
    if without:
        raise RequestError("--without: name the package too, with --package.")
    return None


def named_package(case: Case, options: str, without: tuple[str, ...] = ()) -> Package:
    """A candidate of the case by its id, the bare machine, or the options in a list.

    Parameters
    ----------
    options
        Id of a candidate, `base`, or ids of options with commas between them.
    without
        Ids of standard items left off.

    Raises
    ------
    RequestError
        A name is unknown, or the options cannot be ordered together.
    """
    candidates = {package.id: package for package in case.packages}
    if options in candidates and not without:
        return candidates[options]
    if options == BASE and options not in case.catalogue.by_id:
        return asked_package(case, (), without)
    names = tuple(name.strip() for name in options.split(",") if name.strip())
    return asked_package(case, names, without)


def weighed_package(
    case: Case, name: str | None = None, *, progress: Progress | None = None
) -> tuple[Package, Valued]:
    """The advised package, or under the name `all` the dearest, and the valued case it is from."""
    found = valued_as_paid(case, progress=progress)
    dearest = name == ALL
    states = dearest_package(found) if dearest else best_package(found)
    return package_holding(case, ALL if dearest else ADVISED, found.options(states)), found
