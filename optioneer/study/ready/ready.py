"""Whether the site is ready for a package, what that costs, and when first chips come."""

import math
from collections.abc import Iterator, Mapping, Sequence
from itertools import chain
from typing import Any

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.money.cents import to_cents
from optioneer.study.needs.answers import Need, SiteFigure
from optioneer.study.needs.grounds import CODE, ELECTRICITY, SLAB, VESSEL, WAY
from optioneer.study.needs.limits import bought_supplies
from optioneer.study.needs.needs import site_needs
from optioneer.study.needs.sizing import site_figures
from optioneer.study.ready.answers import Cause, Percentiles, Readiness, TaskDates
from optioneer.study.ready.missing_dates import MissingDates, missing_dates
from optioneer.study.ready.reserve import reserved_for, reserves
from optioneer.study.ready.road import Road, Runs
from optioneer.study.ready.spending import SpendingLine, bookings, spending

CHECKLIST = (
    "Nameplate read: voltage, phases, frequency, full-load current, largest motor, diagrams.",
    "Also on it: short-circuit rating and the largest device on the supply side.",
    "Supply measured under load: within the machine's tolerance, unbalance at most 2 %.",
    "Transformer: size, place, clearances, protection on both sides, grounding of the secondary.",
    "Conductors, disconnect and grounding by the code in force; drop along the run checked.",
    "Clear space before every panel kept free for good; permit and inspection booked.",
    "Room in panel, run and transformer for what is to be fitted later.",
)
"""What to go through with the licensed electrician."""

MOST_SHIFTED = 1000.0
"""A task is not late or early by more than this [days]."""

CAUTIONS = (
    f"{ELECTRICITY} {CODE}",
    VESSEL,
    SLAB,
    f"{WAY} Machines are top-heavy; nobody stands between a load and a wall.",
    "Straight oil, magnesium and unattended running want fire suppression: ask the fire authority.",
    "Book the service engineer only once power, air, level and coolant are certain.",
    "A deposit is usually lost with the order, and the balance due at shipment.",
    "The warranty may start at shipment: ask.",
)
"""What to mind wherever the work can hurt somebody, or the purse."""


def fitted_options(case: Case, package: Package) -> tuple[Option, ...]:
    """Everything that ordering a package fits, standards included."""
    held = everything_fitted(Orders(case.catalogue), package)
    return tuple(case.catalogue.by_id[key] for key in sorted(held))


def readiness(
    case: Case, package: Package, *, shifts: Mapping[str, float] | None = None
) -> Readiness:
    """Whether everything is ready on the day for a package that is ordered.

    Parameters and exceptions as for `readiness_of`.
    """
    options = fitted_options(case, package)
    return readiness_of(case, package.id, options, shifts=shifts)


def readiness_of(
    case: Case, name: str, options: Sequence[Option], *, shifts: Mapping[str, float] | None = None
) -> Readiness:
    """Whether everything is ready for a set of fitted options, standards included.

    Parameters
    ----------
    case
        A checked case with a site.
    name
        What the package is called in the answer.
    options
        Everything fitted.
    shifts
        What if tasks take so many days longer, below 0 shorter, by id.

    Raises
    ------
    RequestError
        The case has no site; tasks wait for each other; items have no order of moves.
    TooLargeError
        The moves puzzle is too large.
    """
    if case.site is None:
        raise RequestError("The case has no site.toml: write the shop and the machine's needs.")
    supplies = bought_supplies(case, options)
    road = Road(case, supplies, shifts)
    return _answer(case, name, options, (spending(case, supplies, road), road))


def shifts_of(late: Sequence[str]) -> dict[str, float]:
    """Days by task, from texts such as ``build=14``.

    Raises
    ------
    RequestError
        A text is something else.
    """
    shifts = {}
    for text in late:
        task, _, days = text.partition("=")
        try:
            shifts[task.strip()] = float(days)
        except ValueError:
            shifts[task.strip()] = math.nan
        if not abs(shifts[task.strip()]) <= MOST_SHIFTED:
            raise RequestError(f"--late: {text!r} is not TASK=DAYS, such as build=14.")
    return shifts


def _answer(
    case: Case, name: str, options: Sequence[Option], laid: tuple[Sequence[SpendingLine], Road]
) -> Readiness:
    lines, road = laid
    supplies = bought_supplies(case, options)
    needs, figures = site_needs(case, options), site_figures(case, options, supplies)
    unknown = missing_dates(case, options, supplies, road)
    return Readiness(
        case=case.name,
        currency=case.machine.currency,
        package=name,
        options=tuple(option.option for option in options),
        needs=needs,
        figures=figures,
        **_bought(lines),
        **_move_figures(road, case.machine.currency),
        tasks=tuple(_task_dates(road, number, unknown) for number in range(len(road.steps))),
        order_proven=road.order_proven,
        bookings=bookings(road.site, road),
        delivery=road.planned_finish("delivery"),
        reserve=tuple(reserves(case, options, supplies, road)),
        reserved_for=reserved_for(case, options),
        **_dates(road, unknown, a_day=case.machine.margin_per_day),
        cost_of_a_day=case.machine.margin_per_day,
        missing=tuple(_missing(needs, figures, lines, road)),
        electrician=CHECKLIST,
        cautions=CAUTIONS,
    )


def _bought(lines: Sequence[SpendingLine]) -> dict[str, Any]:
    paid = chain(*(line.payments for line in lines))
    return {
        "purchases": tuple(line.purchase for line in lines),
        "purchases_cents": sum(line.purchase.cents or 0 for line in lines),
        "payments": tuple(sorted(paid, key=lambda p: (p.date, p.what))),
    }


def _move_figures(road: Road, currency: str) -> dict[str, Any]:
    moves, wages = road.moves, road.site.crew.cost_per_hour
    return {
        "moves": moves.steps,
        "rings": moves.rings,
        "visits": moves.visits,
        "crew_hours": moves.hours,
        "crew_cents": None if wages is None else to_cents(moves.hours * wages, currency),
    }


def _dates(road: Road, unknown: MissingDates, *, a_day: float) -> dict[str, Any]:
    """Chances and days, none of them where something that they hang on has no date."""
    known = {} if unknown.ready else _when_ready(road)
    known |= {} if unknown.first_chips else _when_chips(road, a_day)
    nothing = dict.fromkeys((*_WHEN_READY, *_WHEN_CHIPS))
    return {**nothing, "late_causes": (), **known, "undated": unknown.what}


_WHEN_READY = ("ready_on_delivery_chance",)
_WHEN_CHIPS = ("first_chips", "planned_first_chips", "expected_delay_cost")


def _when_ready(road: Road) -> dict[str, Any]:
    return {
        "ready_on_delivery_chance": float(road.runs.in_time.mean()),
        "late_causes": _causes(road),
    }


def _when_chips(road: Road, a_day: float) -> dict[str, Any]:
    return {
        "first_chips": _percentiles(road.runs),
        "planned_first_chips": road.planned_first_chips,
        "expected_delay_cost": road.runs.mean_delay_days() * a_day,
    }


def _percentiles(runs: Runs) -> Percentiles:
    p50, p80, p95 = (runs.first_chips_by(share) for share in (0.5, 0.8, 0.95))
    return Percentiles(p50=p50, p80=p80, p95=p95)


def _causes(road: Road) -> tuple[Cause, ...]:
    shares = sorted(road.runs.causes().items(), key=lambda pair: (-pair[1], pair[0]))
    return tuple(Cause(task=task, share=share) for task, share in shares)


def _task_dates(road: Road, number: int, unknown: MissingDates) -> TaskDates:
    step, early, late = road.steps[number], road.early, road.late
    booked = [b.book_by for b in bookings(road.site, road) if b.task == step.id and b.book_by]
    start, finish = road.start_date, road.finish_date
    ordered = start(number, float(late.starts[number, 0])) if step.supply else None
    return TaskDates(
        id=step.id,
        name=step.name,
        early_start=start(number, float(early.starts[number, 0])),
        early_finish=finish(number, float(early.finishes[number, 0])),
        late_start=start(number, float(late.starts[number, 0])),
        late_finish=finish(number, float(late.finishes[number, 0])),
        float_days=float(road.floats[number]),
        critical=bool(road.critical[number]) and not unknown.first_chips,
        undated=step.id in unknown.tasks,
        book_by=min(booked) if booked else ordered,
        planned_start=start(number, float(road.planned.starts[number, 0])),
        planned_finish=finish(number, float(road.planned.finishes[number, 0])),
        days=step.days,
        elapsed=step.elapsed,
        trades=step.trades,
        basis=step.basis,
    )


def _missing(
    needs: Sequence[Need], figures: Sequence[SiteFigure], lines: Sequence[SpendingLine], road: Road
) -> Iterator[str]:
    """Every figure that was not given, once, in words."""
    seen: set[str] = set()
    results: tuple[Need | SiteFigure, ...] = (*needs, *figures)
    for result in results:
        lacking = [key for key, value in result.inputs.items() if value is None]
        if lacking and (said := f"{result.name}: {', '.join(lacking)}") not in seen:
            seen.add(said)
            yield said
    for line in lines:
        if line.purchase.cents is None:
            yield f"{line.purchase.what}: price"
        if line.purchase.order_by is None:
            dated = line.purchase.id in road.number
            kind = "lead time" if not dated and line.purchase.planned_order is None else "notice"
            yield f"{line.purchase.what}: {kind}"
