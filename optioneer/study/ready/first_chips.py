"""The day of first chips of a case: as stated, else from the site's task network, else by weeks."""

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.machine import LATEST, Package

if TYPE_CHECKING:
    from collections.abc import Sequence

    from optioneer.model.catalogue import Option
    from optioneer.model.site import Supply
    from optioneer.study.ready.road import Road

DateSource = Literal["stated", "weeks", "site"]


@dataclass(frozen=True)
class CountedOn:
    """Where the day of first chips that the advice counts on comes from.

    Parameters
    ----------
    source
        Stated outright, by the weeks of the dates, or by the site's task network.
    missing
        What keeps the site from giving more than the earliest day possible.
    """

    source: DateSource
    missing: tuple[str, ...] = ()


def counted_on_dates(case: Case) -> CountedOn:
    """Where first chips of a case come from.

    Parameters
    ----------
    case
        A checked case as read, before `with_first_chips`.

    Raises
    ------
    RequestError
        The site's tasks or moves cannot be put in order.
    """
    if _is_stated(case):
        return CountedOn("stated")
    return CountedOn("weeks") if case.site is None else CountedOn("site", undated_base(case))


def with_first_chips(case: Case) -> Case:
    """The same case with the day of first chips that its site gives, where none is stated.

    Parameters
    ----------
    case
        A checked case. With neither `first_chips` nor `lead` under its dates, and with a site, the
        day is that of the plan for the standard machine; a package that needs something slower
        pays for the days lost as part of its site cost. What has no lead time counts for nothing
        there, so that the day is the earliest possible; `undated_base` says what it lacks.

    Raises
    ------
    RequestError
        The site's tasks or moves cannot be put in order.
    """
    if case.site is None or _is_stated(case):
        return case
    road, _, _ = _base_road(case)
    day = road.planned_first_chips
    if day > LATEST:
        raise RequestError(
            f"site.toml: its tasks bring first chips on {day}, after the last day that is "
            f"reckoned with, {LATEST}. Order earlier, or write shorter durations."
        )
    dates = case.dates.model_copy(update={"first_chips": day})
    return case.model_copy(update={"dates": dates})


def undated_base(case: Case) -> tuple[str, ...]:
    """What keeps the site from giving a day of first chips; none where a day is stated.

    Parameters and exceptions as for `counted_on_dates`.
    """
    if case.site is None or _is_stated(case):
        return ()
    from optioneer.study.ready.missing_dates import missing_dates  # noqa: PLC0415 - seldom needed

    road, options, supplies = _base_road(case)
    found = missing_dates(case, options, supplies, road)
    return found.what if found.first_chips else ()


def _is_stated(case: Case) -> bool:
    return case.dates.first_chips is not None or case.dates.lead is not None


def _base_road(case: Case) -> "tuple[Road, Sequence[Option], Sequence[Supply]]":
    """The road of the standard machine; the task network is only loaded for a case that has one."""
    from optioneer.study.needs.limits import bought_supplies  # noqa: PLC0415 - seldom needed
    from optioneer.study.ready.ready import fitted_options  # noqa: PLC0415 - seldom needed
    from optioneer.study.ready.road import Road  # noqa: PLC0415 - seldom needed

    options = fitted_options(case, Package(id="base"))
    supplies = bought_supplies(case, options)
    return Road(case, supplies), options, supplies
