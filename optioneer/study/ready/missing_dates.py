"""What keeps the dates of a site from being known: no lead time, no supply, nothing that helps.

Unknown is unknown: a need that is short is not met before something with a lead time meets it, so
that without one neither a date nor a chance is given.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.site import Supply
from optioneer.study.needs.answers import Need
from optioneer.study.needs.needs import site_needs
from optioneer.study.ready.road import FIRST_CHIPS, READY, Road
from optioneer.study.ready.tasks import WAITING

MET_BY: Mapping[str, tuple[str, ...]] = {
    "voltage": ("transformer",),
    "transformer": ("transformer",),
    "service": ("service",),
    "compressor": ("compressor",),
    "air-pressure": ("compressor",),
    "receiver": ("receiver",),
    "cycles": ("receiver", "compressor"),
    "floor": ("floor",),
    "foot-pressure": ("floor",),
    "area": ("area",),
    "short-side": ("area",),
    "long-side": ("area",),
}
"""Kinds of supplies that meet a need, by its id, of one a compressor by its first word."""


@dataclass(frozen=True)
class MissingDates:
    """What has no date, and the tasks that wait for it.

    Parameters
    ----------
    what
        In words, each with what is missing.
    tasks
        Ids of the tasks whose dates are the earliest possible only.
    """

    what: tuple[str, ...] = ()
    tasks: frozenset[str] = frozenset()

    @property
    def ready(self) -> bool:
        """Whether it is unknown when the site is ready."""
        return READY in self.tasks

    @property
    def first_chips(self) -> bool:
        """Whether it is unknown when first chips come."""
        return FIRST_CHIPS in self.tasks


def missing_dates(
    case: Case, options: Sequence[Option], supplies: Sequence[Supply], road: Road
) -> MissingDates:
    """What of a package's site has no date.

    Parameters
    ----------
    case
        A case with a site.
    options
        Everything fitted.
    """
    found = [*_without_lead_time(supplies), *_unmet(site_needs(case, options), supplies)]
    tasks = {task for _, first in found for task in _from(road, first)}
    return MissingDates(tuple(dict.fromkeys(what for what, _ in found)), frozenset(tasks))


def _without_lead_time(supplies: Sequence[Supply]) -> Iterator[tuple[str, str]]:
    """Supplies without a lead time, each with the task that waits for it."""
    for supply in supplies:
        if supply.lead_days is None:
            yield f"{supply.what}: lead time", supply.before or WAITING[supply.kind]


def _unmet(needs: Sequence[Need], supplies: Sequence[Supply]) -> Iterator[tuple[str, str]]:
    """Needs that are short and that nothing bought meets."""
    bought: set[str] = {supply.kind for supply in supplies}
    if any(need.id == "transformer" and need.status == "ok" for need in needs):
        bought.add("transformer")  # one on hand brings the voltage as well
    for need in needs:
        if need.status == "short" and bought.isdisjoint(_meets(need)):
            yield f"{need.name}: short, and nothing on the list meets it", READY


def _meets(need: Need) -> tuple[str, ...]:
    """Kinds of supplies that meet a need."""
    return MET_BY.get("cycles" if need.id.startswith("cycles-") else need.id, ())


def _from(road: Road, first: str) -> frozenset[str]:
    """A task and all that wait for it; the site's being ready for one that is dropped."""
    later = road.network.later(road.number.get(first, road.number[READY]))
    return frozenset(road.steps[number].id for number in later)
