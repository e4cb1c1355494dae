"""The site's reserve: what options that are not ordered would ask of it, now or when fitted.

The site is planned for what is ordered. What could come later is told beside it, so that the owner
can weigh providing for it now; `reserve_for` names what is provided for.
"""

from collections.abc import Iterator, Sequence

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.site import Site, Supply
from optioneer.money.cents import to_cents
from optioneer.study.needs.limits import SupplyLimit, supply_cost, supply_limits
from optioneer.study.needs.needs import LIMITS, limit_available, limit_required
from optioneer.study.ready.answers import Reserve
from optioneer.study.ready.road import Road


def reserves(
    case: Case, options: Sequence[Option], supplies: Sequence[Supply], road: Road
) -> Iterator[Reserve]:
    """What would be outgrown if everything that can be retrofitted were fitted.

    Parameters
    ----------
    case
        A case with a site.
    options
        Everything fitted with the order.
    """
    for limit in supply_limits(case):
        later = _later(case, limit, options)
        bought, bigger = (
            limit.bought(limit.total(held), case.machine.base_price) for held in (options, later)
        )
        if bigger is not None and bigger != bought and limit.total(later) > limit.total(options):
            others = [supply for supply in supplies if supply != bought]
            yield Reserve(
                kind=limit.kind,
                name=LIMITS[limit.kind][0],
                options=tuple(option.option for option in later if option not in options),
                ordered=limit_required(case, limit, limit.total(options)),
                required=limit_required(case, limit, limit.total(later)),
                available=limit_available(case, limit),
                unit=LIMITS[limit.kind][1],
                what=bigger.what,
                now_cents=_cents(case, bigger, less=bought),
                first_chips_days=_days_later(case, [*others, bigger], road),
                later_cents=_cents(case, bigger, times=bigger.later),
                later_downtime_days=bigger.later_downtime_days,
            )


def reserved_for(case: Case, options: Sequence[Option]) -> tuple[str, ...]:
    """Options not ordered that the site is sized for all the same."""
    held = {option.option for option in options}
    return tuple(key for key in (case.site or Site()).plan.reserve_for if key not in held)


def _later(case: Case, limit: SupplyLimit, options: Sequence[Option]) -> list[Option]:
    """By slot what uses most of a limit's resource: what is ordered, or a retrofit."""
    held = {option.slot or option.option: option for option in options}
    for option in case.catalogue.options:
        slot = option.slot or option.option
        now = held.get(slot)
        least = max(limit.used(now), limit.floors.get(slot, 0.0))
        if option.retrofittable and limit.used(option) > least:
            held[slot] = option
    return [option for option in held.values() if limit.used(option)]


def _days_later(case: Case, supplies: Sequence[Supply], road: Road) -> int | None:
    """Days by which first chips come later with other supplies; none: one has no lead time."""
    if supplies[-1].lead_days is None:
        return None
    then = Road(case, supplies).planned_first_chips
    return max(0, (then - road.planned_first_chips).days)


def _cents(
    case: Case, supply: Supply, *, less: Supply | None = None, times: float = 1.0
) -> int | None:
    """Price of a supply, some times over, less that of another; none: one has no price."""
    base = case.machine.base_price
    price = supply_cost(supply, base)
    saved = 0.0 if less is None else supply_cost(less, base)
    if price is None or saved is None:
        return None
    return to_cents(times * price - saved, case.machine.currency)
