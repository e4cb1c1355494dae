"""A case: one purchase, with everything known about it."""

from collections.abc import Mapping

from pydantic import Field

from optioneer.model.catalogue import Catalogue
from optioneer.model.fact import Amount, Fact, Key, Name
from optioneer.model.growth import Growth
from optioneer.model.machine import Bundle, Dates, Hours, Machine, Package
from optioneer.model.paying import Paying
from optioneer.model.site import Site


class Case(Fact):
    """One purchase."""

    name: Name = Field(description="Name of the case: the name of its folder.")
    machine: Machine
    hours: Hours | None = Field(default=None, description="Attended hours; none: no limit.")
    dates: Dates
    call_outs: Mapping[Key, Amount] = Field(
        default_factory=lambda: {"default": 0.0},
        description="Fixed charge of one field-service visit, by name [money].",
    )
    bundles: tuple[Bundle, ...] = ()
    packages: tuple[Package, ...] = ()
    catalogue: Catalogue
    growth: Growth
    paying: Paying | None = Field(default=None, description="Ways of paying, if any are told.")
    site: Site | None = Field(default=None, description="The shop and what it still needs.")
