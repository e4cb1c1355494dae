"""The page of a site's readiness, and its rows for the chart."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Any

from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Table, bullets_of
from optioneer.study.needs.answers import Need
from optioneer.study.ready.answers import Purchase, Readiness, Reserve, TaskDates

WORDS = {"ok": "enough", "tight": "TIGHT", "short": "SHORT", "missing": "missing"}
"""Status in words; colour may come on top, never alone."""

NONE = "missing"


def ready_page(case: Case, answer: Readiness, figures: Figures) -> Page:
    """What is missing on site, what to buy, whom to book, and when first chips come."""
    return (
        Heading(f"{case.machine.name}: the road to first chips", answer.package),
        *(Paragraph(sentence) for sentence in answer.standing),
        Paragraph(readiness_sentence(answer, figures), strong=True),
        *(Paragraph(sentence) for sentence in first_chips_sentences(answer, figures)),
        needs_table(answer.needs, figures),
        *reserve_parts(case, answer, figures),
        shopping_table(answer, figures),
        *moves_tables(answer, figures),
        bookings_table(answer),
        dates_table(answer.tasks, figures),
        figures_table(answer, figures),
        *bullets_of("Not given", answer.missing),
        Bullets("To go through with the licensed electrician", answer.electrician),
        Bullets("Grounds", tuple(grounds(answer))),
        Bullets("Mind", answer.cautions),
    )


def readiness_sentence(answer: Readiness, figures: Figures) -> str:
    """What is short, when the machine comes, and the chance that the site is ready."""
    short = [need.name for need in answer.needs if need.status == "short"]
    lacking = f"Short of: {', '.join(short)}." if short else "Nothing known is short."
    arrives = f"{lacking} The machine arrives on {answer.delivery.isoformat()} by the plan; "
    if answer.ready_on_delivery_chance is None:
        return (
            f"{arrives}when the site is ready is unknown, and so is the chance that it is ready "
            f"by then. Missing: {'; '.join(answer.undated)}."
        )
    chance = figures.share(answer.ready_on_delivery_chance)
    return f"{arrives}the chance that the site is ready when it comes is {chance}."


def delay_cost(answer: Readiness, figures: Figures) -> str:
    """What delay past the plan costs on average."""
    cost = answer.expected_delay_cost
    return NONE if cost is None else figures.amount(cost)


def chips_days(answer: Readiness) -> tuple[str, str, str, str]:
    """First chips by the plan, and by which half, four fifths and nearly all runs have them."""
    chips = answer.first_chips
    runs = (NONE,) * 3 if chips is None else tuple(map(_day, (chips.p50, chips.p80, chips.p95)))
    p50, p80, p95 = runs
    return _day(answer.planned_first_chips), p50, p80, p95


def reserve_parts(case: Case, answer: Readiness, figures: Figures) -> Iterator[Paragraph | Table]:
    """What the site is planned for, and what could be fitted later would ask of it."""
    yield Paragraph(" ".join(reserve_sentences(case, answer)))
    if answer.reserve:
        yield _reserve_table(answer.reserve, figures)


def reserve_sentences(case: Case, answer: Readiness) -> Iterator[str]:
    """What the site is planned for and why."""
    names = case.catalogue.by_id
    yield "The site is planned for what is ordered."
    if answer.reserved_for:
        reserved = ", ".join(names[key].name for key in answer.reserved_for)
        yield f"It is sized for these too, because the plan of the site reserves it: {reserved}."
    if not answer.reserve:
        yield "What could be fitted later finds room in it."
        return
    yield (
        "Nothing is bought and no date moves for what is not ordered. Fitted later, all together, "
        "these would outgrow it; name under `reserve_for` what is to be provided for at once:"
    )
    yield (
        "; ".join(
            f"{one.name}: {', '.join(names[key].name for key in one.options)}"
            for one in answer.reserve
        )
        + "."
    )


def _reserve_table(reserve: Sequence[Reserve], figures: Figures) -> Table:
    rows = tuple(
        (
            one.name,
            f"{figures.number(one.ordered, 2)} {one.unit}",
            f"{figures.number(one.required, 2)} {one.unit}",
            _price(one.now_cents, figures),
            NONE if one.first_chips_days is None else figures.number(one.first_chips_days),
            _price(one.later_cents, figures),
            one.what + _downtime(one, figures),
        )
        for one in reserve
    )
    heads = ("need", "ordered", "with all", "now", "days later", "if later", "what it takes")
    note = (
        "Now: what providing for it with the order costs beyond what is bought anyway, and by how "
        "many days it puts first chips off. If later: what it costs when it is fitted, in money of "
        "the order date."
    )
    return Table("Not ordered, could be fitted later", heads, rows, text_last=True, note=note)


def _price(cents: int | None, figures: Figures) -> str:
    return NONE if cents is None else figures.cash(cents)


def _downtime(one: Reserve, figures: Figures) -> str:
    if not one.later_downtime_days:
        return ""
    return f"; if later, {figures.number(one.later_downtime_days, 1)} days of the machine as well"


def first_chips_sentences(answer: Readiness, figures: Figures) -> Iterator[str]:
    """When first chips come, what a day costs, and what makes the site late."""
    a_day = f"A day's delay costs {figures.amount(answer.cost_of_a_day)}"
    if answer.first_chips is None:
        first = next(task for task in answer.tasks if task.id == "first-chips")
        yield (
            f"First chips have no date, and not before {first.planned_finish.isoformat()}. "
            f"Missing: {'; '.join(answer.undated)}. Days below that follow from it are the "
            "earliest possible."
        )
        yield f"{a_day}."
    else:
        plan, half, most, nearly = chips_days(answer)
        yield (
            f"First chips by the plan on {plan}; in half of the simulated runs by {half}, in four "
            f"of five by {most}, in nineteen of twenty by {nearly}."
        )
        yield f"{a_day}; delay past the plan costs {delay_cost(answer, figures)} on average."
    if answer.late_causes:
        names = _task_names(answer)
        told = "; ".join(
            f"{names[cause.task]} {figures.share(cause.share)}" for cause in answer.late_causes[:5]
        )
        yield f"When the site is late, these are on the chain that makes it late: {told}."
    if not answer.order_proven:
        yield "Another order of the trades may give earlier dates: the search was cut short."


def needs_table(needs: Sequence[Need], figures: Figures) -> Table:
    """What the machine needs of the site, against what is there."""
    rows = tuple(
        (
            need.name,
            _figure_or_none(need.required, figures),
            _figure_or_none(need.available, figures),
            _figure_or_none(need.short, figures),
            need.unit,
            WORDS[need.status],
        )
        for need in needs
    )
    heads = ("need", "required", "there or allowed", "short", "unit", "status")
    return Table("What the machine needs of the site", heads, rows, text_last=True)


def _figure_or_none(value: float | None, figures: Figures) -> str:
    return NONE if value is None else figures.number(value, 2)


def _day(day: date | None) -> str:
    return NONE if day is None else day.isoformat()


def shopping_table(answer: Readiness, figures: Figures) -> Table:
    """What to buy, by when, and what it costs."""
    rows = [_bought(purchase, figures) for purchase in answer.purchases]
    rows.append(("sum of those with a price", figures.cash(answer.purchases_cents), *[""] * 3))
    heads = ("what", "price", "order by", "arrives", "paid to; price by")
    return Table("What to buy", heads, tuple(rows), text_last=True)


def _bought(purchase: Purchase, figures: Figures) -> tuple[str, ...]:
    return (
        purchase.what,
        NONE if purchase.cents is None else figures.cash(purchase.cents),
        _day(purchase.order_by),
        _day(purchase.arrives),
        "; ".join(part for part in (purchase.payee, purchase.basis) if part),
    )


def moves_tables(answer: Readiness, figures: Figures) -> Iterator[Table]:
    """What stands in the way, in the order in which it moves; nothing if nothing does."""
    if not answer.moves:
        return
    rows = tuple(
        (str(move.step), move.item, move.from_, move.to, "for a while" if move.parked else "")
        for move in answer.moves
    )
    cost = "" if answer.crew_cents is None else f", {figures.cash(answer.crew_cents)}"
    rings = "; ".join(", ".join(ring) for ring in answer.rings)
    waiting = f" These wait for each other in a ring: {rings}." if rings else ""
    note = f"{figures.number(answer.crew_hours)} crew-hours{cost}; {answer.visits} trade visits."
    heads = ("step", "item", "from", "to", "parked")
    yield Table("Moves, in this order", heads, rows, text_last=True, note=note + waiting)


def _task_names(answer: Readiness) -> dict[str, str]:
    return {task.id: task.name for task in answer.tasks}


def bookings_table(answer: Readiness) -> Table:
    """Whom to book, and by when."""
    tasks = {task.id: task for task in answer.tasks}
    rows = tuple(
        (
            b.trade,
            _day(b.book_by),
            NONE if tasks[b.task].undated else _day(b.planned_booking),
            _from(b.wanted_on, tasks[b.task]),
            tasks[b.task].name,
        )
        for b in answer.bookings
    )
    heads = ("trade", "book by", "by the plan", "wanted on", "for")
    return Table("Whom to book", heads, rows, text_last=True)


def _from(day: date, task: TaskDates) -> str:
    """A day, or the earliest one possible."""
    return f"from {day.isoformat()}" if task.undated else day.isoformat()


def dates_table(tasks: Sequence[TaskDates], figures: Figures) -> Table:
    """When each task is planned, and how late it may be."""
    rows = tuple(
        (
            task.name,
            _from(task.planned_start, task),
            _from(task.planned_finish, task),
            NONE if task.undated else task.late_finish.isoformat(),
            NONE if task.undated else figures.number(task.float_days),
            "critical" if task.critical else "",
        )
        for task in sorted(tasks, key=lambda task: (task.planned_start, task.planned_finish))
    )
    heads = ("task", "planned start", "planned finish", "latest finish", "float, days", "")
    return Table("Dates", heads, rows, text_last=True)


def figures_table(answer: Readiness, figures: Figures) -> Table:
    """Figures for the talk with electrician, pipefitter and rigger."""
    rows = tuple((f.name, _figure_or_none(f.value, figures), f.unit) for f in answer.figures)
    return Table("Figures for the talk with the trades", ("", "", "unit"), rows, text_last=True)


def grounds(answer: Readiness) -> Iterator[str]:
    """Formula, source and caution of every figure."""
    for need in answer.needs:
        yield f"{need.name}: {need.formula}. {need.source}. {need.caution}"
    for figure in answer.figures:
        yield f"{figure.name}: {figure.formula}. {figure.source}. {figure.caution}"


def gantt_rows(answer: Readiness) -> list[dict[str, Any]]:
    """Rows of the chart of tasks, by planned start; milestones are drawn as one day."""
    rows = []
    for task in sorted(answer.tasks, key=lambda task: (task.planned_start, task.planned_finish)):
        evening = timedelta(
            days=0 if task.elapsed and task.planned_finish > task.planned_start else 1
        )
        finish = task.planned_finish + evening
        rows.append(
            {
                "task": task.name,
                "start": task.planned_start.isoformat(),
                "finish": finish.isoformat(),
                "latest": max(task.late_finish + evening, finish).isoformat(),
                "book": None if task.book_by is None else task.book_by.isoformat(),
                "kind": _kind(task),
            }
        )
    return rows


def _kind(task: TaskDates) -> str:
    if task.undated:
        return "at the earliest"
    return "critical" if task.critical else "has float"


def gantt_marks(answer: Readiness) -> list[dict[str, Any]]:
    """Days that matter, for the chart."""
    chips = answer.first_chips
    days = {"machine arrives": answer.delivery}
    if chips is not None:
        runs = zip((50, 80, 95), (chips.p50, chips.p80, chips.p95), strict=True)
        days |= {f"first chips {percent} %": day for percent, day in runs}
    return [{"day": day.isoformat(), "mark": mark} for mark, day in days.items()]
