"""Tasks from the order to first chips: the built-in ones, supplies, moves, and the case's own."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.site import RULE_OF_THUMB, Site, Supply
from optioneer.model.works import CREW, Task
from optioneer.study.ready.moves import MovePlan

WorkDays = tuple[float, float, float]

COMMISSIONING: dict[str, WorkDays] = {"small": (1, 1, 2), "medium": (2, 3, 4), "large": (5, 7, 10)}
"""Working days by class of machine: rules of thumb."""


@dataclass(frozen=True)
class TaskStep:
    """One task on the road.

    Parameters
    ----------
    days
        Low, likely, high [working days, calendar days if `elapsed`].
    after
        What it waits for.
    elapsed
        Takes calendar days.
    release, deadline
        First day it may start, last day it may end.
    lead_days
        Wanted done so long before the machine arrives.
    ready
        The site is not ready before it is done.
    basis
        Where its duration comes from.
    """

    id: str
    name: str
    days: WorkDays
    after: tuple[str, ...] = ("order",)
    elapsed: bool = False
    trades: tuple[str, ...] = ()
    release: date | None = None
    deadline: date | None = None
    lead_days: float | None = None
    ready: bool = False
    supply: Supply | None = None
    move: bool = False
    basis: str = field(default=RULE_OF_THUMB)


def steps(case: Case, supplies: Sequence[Supply], moves: MovePlan) -> tuple[TaskStep, ...]:
    """Every task of a case.

    Parameters
    ----------
    case
        A case with a site.

    Raises
    ------
    RequestError
        A task waits for something that is not there, or a supply is called like a task.
    """
    site = case.site or Site()
    known = {step.id: step for step in _built_in(case, site)}
    known |= {step.id: step for step in _move_tasks(site, moves)}
    for supply in site.supply:
        if supply.id in known:
            raise RequestError(
                f"site.toml, supply '{supply.id}': the task '{known[supply.id].name}' has this id. "
                "Call the supply otherwise."
            )
    known |= {s.id: _supply_task(s) for s in supplies if s.lead_days is not None}
    for task in site.task:
        _apply(known, site, task)
    return tuple(_relinked_tasks(known, site))


def _built_in(case: Case, site: Site) -> Iterator[TaskStep]:
    dates, plan = case.dates, site.plan
    stated = "machine.toml"
    yield TaskStep("order", "order signed", (0, 0, 0), after=(), elapsed=True, basis=stated)
    source = "supplier's duty to hand drawings over within three weeks (a buyer's specification)"
    yield TaskStep("drawing", "installation drawing", (21, 21, 21), elapsed=True, basis=source)
    yield TaskStep("electrical-design", "electrical design and permit", (10, 15, 25), ("drawing",))
    wired = TaskStep("wiring", "wiring", (2, 3, 5), ("electrical-design",), trades=("electrician",))
    yield replace(wired, ready=True, lead_days=plan.lead_days)
    piped = TaskStep("air-line", "air line", (2, 3, 5), ("drawing",), trades=("pipefitter",))
    yield replace(piped, ready=True, lead_days=plan.lead_days)
    if plan.foundation:
        yield TaskStep("foundation", "foundation poured", (3, 5, 8), ("drawing", "moves-done"))
        cured = TaskStep("cure", "concrete cured", (28, 28, 28), ("foundation",), elapsed=True)
        yield replace(cured, ready=True)
    build, ship = 7 * dates.build_weeks, 7 * dates.ship_weeks
    yield TaskStep("build", "machine built", (build,) * 3, elapsed=True, basis=stated)
    yield TaskStep(
        "delivery", "machine shipped", (ship,) * 3, ("build",), elapsed=True, basis=stated
    )
    yield TaskStep("moves-done", "place is clear", (0, 0, 0), ready=True)
    yield TaskStep("site-ready", "site is ready", (0, 0, 0))
    yield from _start_up(case, site)


def _start_up(case: Case, site: Site) -> Iterator[TaskStep]:
    rigger, electrician, engineer = ("rigger",), ("electrician",), ("service-engineer",)
    yield TaskStep("rigging", "set in place", (1, 1, 2), ("delivery", "site-ready"), trades=rigger)
    yield TaskStep("tie-in", "connected and filled", (1, 1, 2), ("rigging",), trades=electrician)
    stated = (case.dates.commission_days,) * 3
    days = stated if site.plan.size is None else COMMISSIONING[site.plan.size]
    done = TaskStep(
        "commissioning", "levelled and commissioned", days, ("tie-in",), trades=engineer
    )
    yield done if site.plan.size else replace(done, basis="machine.toml")
    yield TaskStep("acceptance", "accepted", (1, 1, 2), ("commissioning",))
    yield TaskStep("training", "operators trained", (2, 3, 5), ("acceptance",))
    yield TaskStep("first-article", "first article made", (2, 3, 5), ("training",))
    yield TaskStep("first-chips", "first chips", (0, 0, 0), ("first-article",))


def _move_tasks(site: Site, moves: MovePlan) -> Iterator[TaskStep]:
    before: tuple[str, ...] = ("order",)
    for number, move in enumerate(moves.moves, 1):
        item = moves.items[move.piece]
        key = f"move-{number}-{item.id}"
        yield TaskStep(
            id=key,
            name=f"move {number}: {item.name or item.id}",
            days=_crew_days(site, item.crew_hours or (0.0, 0.0, 0.0)),
            after=before,
            trades=(CREW, *item.trades),
            release=site.plan.moves_not_before,
            move=True,
            basis="site.toml",
        )
        before = (key,)


def _crew_days(site: Site, hours: WorkDays) -> WorkDays:
    """Working days that the crew takes at the hours it can spare; a case states them."""
    per_day = site.crew.hours_per_day or 1.0
    low, likely, high = hours
    return low / per_day, likely / per_day, high / per_day


def _supply_task(supply: Supply) -> TaskStep:
    """Order to arrival of a supply."""
    after = {
        "transformer": ("electrical-design",),
        "service": ("electrical-design",),
        "compressor": ("drawing",),
        "receiver": ("drawing",),
        "floor": ("drawing",),
    }
    return TaskStep(
        id=supply.id,
        name=supply.what,
        days=supply.lead_days or (0, 0, 0),
        after=after.get(supply.kind, ("order",)),
        elapsed=True,
        supply=supply,
        basis="quote" if supply.quoted else RULE_OF_THUMB,
    )


def _apply(known: dict[str, TaskStep], site: Site, task: Task) -> None:
    """Put a task of the case in, over a built-in one of its id."""
    if task.drop:
        return
    step = known.get(task.id, TaskStep(task.id, task.id, (0, 0, 0), basis="site.toml"))
    if task.days is not None:
        step = replace(step, days=task.days, basis="site.toml")
    if task.crew_hours is not None:
        days = _crew_days(site, task.crew_hours)
        step = replace(step, days=days, trades=(*step.trades, CREW), basis="site.toml")
    known[task.id] = replace(
        step,
        name=task.name or step.name,
        elapsed=step.elapsed if task.elapsed is None else task.elapsed,
        after=step.after if task.after is None else task.after,
        trades=step.trades if task.trades is None else _with_crew(task.trades, task),
        release=task.not_before or step.release,
        deadline=task.no_later_than or step.deadline,
        lead_days=step.lead_days if task.lead_days is None else task.lead_days,
        ready=step.ready if task.ready is None else task.ready,
    )


def _with_crew(trades: tuple[str, ...], task: Task) -> tuple[str, ...]:
    return trades if task.crew_hours is None else (*trades, CREW)


WAITING = {
    "transformer": "wiring",
    "service": "wiring",
    "compressor": "air-line",
    "receiver": "air-line",
    "floor": "site-ready",
    "area": "site-ready",
    "coolant": "tie-in",
    "other": "first-article",
}
"""Task that waits for a supply, by its kind."""


def _waits(known: dict[str, TaskStep], site: Site) -> Iterator[tuple[str, str]]:
    """Further pairs: a task, and what it waits for."""
    for step in known.values():
        if step.supply is not None:
            yield step.supply.before or WAITING[step.supply.kind], step.id
        if step.move:
            yield "moves-done", step.id
        if step.ready:
            yield "site-ready", step.id
    for task in site.task:
        yield from ((later, task.id) for later in task.before)


def _relinked_tasks(known: dict[str, TaskStep], site: Site) -> Iterator[TaskStep]:
    """The tasks that remain, those that waited for a dropped one waiting for what it waited for.

    Raises
    ------
    RequestError
        A task waits for something that is not there.
    """
    after = {step.id: list(step.after) for step in known.values()}
    for later, earlier in _waits(known, site):
        if later not in after:
            raise RequestError(_unknown(earlier, later))
        after[later].append(earlier)
    dropped = {task.id for task in site.task if task.drop} & known.keys()
    elsewhere = {supply.id for supply in site.supply} - known.keys()
    for step in known.values():
        if step.id not in dropped:
            waits = _waits_beyond(step.id, after, dropped)
            for earlier in waits - known.keys() - elsewhere:
                raise RequestError(_unknown(step.id, earlier))
            yield replace(step, after=tuple(sorted(waits & known.keys())))


def _unknown(task: str, other: str) -> str:
    return (
        f"site.toml, task '{task}': there is no task or supply '{other}'. Use the id of a task of "
        "your own, of a built-in one or of a supply."
    )


def _waits_beyond(task: str, after: dict[str, list[str]], dropped: set[str]) -> set[str]:
    """What a task waits for once dropped tasks are taken out."""
    found: set[str] = set()
    open_, seen = list(after[task]), set[str]()
    while open_:
        earlier = open_.pop()
        if earlier in dropped and earlier not in seen:
            seen.add(earlier)
            open_ += after[earlier]
        elif earlier not in dropped:
            found.add(earlier)
    return found
