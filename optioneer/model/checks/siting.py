"""Checks on the site: names that must agree, places that cannot be shared."""

from collections import Counter
from collections.abc import Iterator

from optioneer.errors import Fault, did_you_mean
from optioneer.model.case import Case
from optioneer.model.site import Site
from optioneer.model.works import CREW

FILE = "site.toml"


def site_duplicate_faults(case: Case) -> Iterator[Fault]:
    """Two entries of one kind with one id; a supply with the id of a task."""
    site = case.site or Site()
    lists = {
        "supplier": [supplier.id for supplier in site.supplier],
        "trade": [trade.id for trade in site.trade],
        "item": [item.id for item in site.item],
        "opening": [opening.id for opening in site.opening],
        "load": [load.id for load in site.load],
        "supply": [supply.id for supply in site.supply],
        "task": [task.id for task in site.task],
    }
    for kind, ids in lists.items():
        for key, count in Counter(ids).items():
            if count > 1:
                where = f"{FILE}, {kind} '{key}'"
                yield Fault(where, f"the id is used {count} times", "Give each an id of its own.")
    if CREW in lists["trade"]:
        where = f"{FILE}, trade '{CREW}'"
        yield Fault(where, "the shop's own people go by this id", "Give the trade another.")
    for key in {*lists["supply"]} & {*lists["task"]}:
        where = f"{FILE}, supply '{key}'"
        yield Fault(where, "a task has the same id", "Rename one; supplies are tasks as well.")


def site_repeat_faults(case: Case) -> Iterator[Fault]:
    """Names that stand twice in one list."""
    site = case.site or Site()
    lists = {f"shop, {key}": getattr(site.shop, key) for key in ("machine_on", "parking")}
    lists |= {f"item '{item.id}', trades": item.trades for item in site.item}
    for task in site.task:
        own = {"after": task.after, "before": task.before, "trades": task.trades}
        lists |= {f"task '{task.id}', {key}": names or () for key, names in own.items()}
    for where, names in lists.items():
        for name, count in Counter(names).items():
            if count > 1:
                yield Fault(f"{FILE}, {where}", f"'{name}' is named twice", "Name it once.")


def site_reference_faults(case: Case) -> Iterator[Fault]:
    """Suppliers that are not listed."""
    site = case.site or Site()
    known = [supplier.id for supplier in site.supplier]
    payers = [("supply", s.id, s.supplier) for s in site.supply]
    payers += [("trade", t.id, t.supplier) for t in site.trade]
    for kind, key, supplier in payers:
        if supplier is not None and supplier not in known:
            where = f"{FILE}, {kind} '{key}', supplier"
            what = f"there is no supplier '{supplier}'"
            yield Fault(where, what, did_you_mean(supplier, known) or "Add it as [[supplier]].")


def floor_faults(case: Case) -> Iterator[Fault]:
    """Items that would stand where something else stands or shall stand."""
    site = case.site or Site()
    machine = set(site.shop.machine_on)
    final: dict[str, str] = dict.fromkeys(machine, "the new machine")
    for item in site.item:
        where = f"{FILE}, item '{item.id}'"
        goal = item.on if item.to is None else item.to
        for place in goal:
            if place in final:
                what = f"'{place}' would be shared with {final[place]}"
                yield Fault(
                    where, what, "Give it another place under 'to', or to = [] to take out."
                )
            final[place] = f"item '{item.id}'"
    seen: dict[str, str] = {}
    for item in site.item:
        for place in item.on:
            if place in seen:
                where = f"{FILE}, item '{item.id}', on"
                what = f"'{place}' is already covered by item '{seen[place]}'"
                yield Fault(where, what, "Split the place, or give both one row.")
            seen[place] = item.id


def crew_faults(case: Case) -> Iterator[Fault]:
    """Moves and tasks whose duration cannot be worked out."""
    site = case.site or Site()
    moving = [item for item in site.item if item.moves]
    for item in moving:
        if item.crew_hours is None:
            where = f"{FILE}, item '{item.id}', crew_hours"
            yield Fault(where, "is missing", "Write low, likely, high crew-hours of one move.")
    asked = any(task.crew_hours is not None for task in site.task)
    if (moving or asked) and site.crew.hours_per_day is None:
        where = f"{FILE}, crew, hours_per_day"
        yield Fault(where, "is missing", "Write the hours a day that the crew can spare.")


def figure_faults(case: Case) -> Iterator[Fault]:
    """Three points that do not rise, pressures the wrong way round, ratings that do not rise."""
    site = case.site or Site()
    for supply in site.supply:
        points = supply.lead_days
        if points is not None and list(points) != sorted(points):
            where = f"{FILE}, supply '{supply.id}', lead_days"
            yield Fault(where, f"{points} are not in rising order", "Write low, likely, high.")
    for compressor in site.air.compressor:
        low, high = compressor.load_bar, compressor.unload_bar
        if low is not None and high is not None and low >= high:
            where = f"{FILE}, air, compressor '{compressor.id}'"
            what = f"load_bar {low:g} is not below unload_bar {high:g}"
            yield Fault(
                where, what, "It loads at the lower pressure and unloads at the higher one."
            )
    ratings = site.shop.device_ratings_a
    if list(ratings) != sorted(ratings):
        where = f"{FILE}, shop, device_ratings_a"
        yield Fault(where, "the ratings do not rise", "Write them from small to large.")


LONGEST_DAYS = 3650.0
"""Nothing is waited for or worked on for more than ten years [days]."""


def duration_faults(case: Case) -> Iterator[Fault]:
    """Waits and works that take more than ten years."""
    site = case.site or Site()
    told = [(f"trade '{one.id}'", "notice_days", one.notice_days) for one in site.trade]
    told += [
        (f"supply '{one.id}'", "lead_days", max(one.lead_days or (0.0,))) for one in site.supply
    ]
    for task in site.task:
        name = f"task '{task.id}'"
        told += [(name, "days", max(task.days or (0.0,))), (name, "lead_days", task.lead_days)]
    told += [("plan", key, getattr(site.plan, key)) for key in ("lead_days", "order_early_days")]
    for name, key, days in told:
        if (days or 0.0) > LONGEST_DAYS:
            what = f"{days:,.12g} days are more than ten years"
            yield Fault(f"{FILE}, {name}, {key}", what, f"At most {LONGEST_DAYS:,.0f} days.")
    for task in site.task:
        yield from _crew_faults(f"task '{task.id}'", task.crew_hours, site)
    for item in site.item:
        yield from _crew_faults(f"item '{item.id}'", item.crew_hours, site)


def _crew_faults(
    name: str, hours: tuple[float, float, float] | None, site: Site
) -> Iterator[Fault]:
    """Work that the crew, with the hours it can spare, would be at for more than ten years."""
    if hours is None or site.crew.hours_per_day is None:
        return
    days = max(hours) / site.crew.hours_per_day
    if days > LONGEST_DAYS:
        what = (
            f"{max(hours):,.12g} hours are {days:,.0f} days of a crew that can spare "
            f"{site.crew.hours_per_day:g} hours a day"
        )
        yield Fault(f"{FILE}, {name}, crew_hours", what, f"At most {LONGEST_DAYS:,.0f} days.")
