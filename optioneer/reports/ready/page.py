"""The page of a site's readiness, and its rows for the chart."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import Any

from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Table
from optioneer.study.ready.answers import Need, Purchase, Readiness, TaskDates

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
        shopping_table(answer, figures),
        *moves_tables(answer, figures),
        bookings_table(answer),
        dates_table(answer.tasks, figures),
        figures_table(answer, figures),
        *((Bullets("Not given", answer.missing),) if answer.missing else ()),
        Bullets("To go through with the licensed electrician", answer.electrician),
        Bullets("Grounds", tuple(grounds(answer))),
        Bullets("Mind", answer.cautions),
    )


def readiness_sentence(answer: Readiness, figures: Figures) -> str:
    """What is short, when the machine comes, and the chance that the site is ready."""
    short = [need.name for need in answer.needs if need.status == "short"]
    lacking = f"Short of: {', '.join(short)}." if short else "Nothing known is short."
    chance = figures.share(answer.ready_on_delivery_chance)
    return (
        f"{lacking} The machine arrives on {answer.delivery.isoformat()} by the plan; the chance "
        f"that the site is ready when it comes is {chance}."
    )


def first_chips_sentences(answer: Readiness, figures: Figures) -> Iterator[str]:
    """When first chips come, what a day costs, and what makes the site late."""
    chips = answer.first_chips
    yield (
        f"First chips by the plan on {answer.planned_first_chips.isoformat()}; in half of the "
        f"simulated runs by {chips.p50.isoformat()}, in four of five by {chips.p80.isoformat()}, "
        f"in nineteen of twenty by {chips.p95.isoformat()}."
    )
    yield (
        f"A day's delay costs {figures.amount(answer.cost_of_a_day)}; delay past the plan costs "
        f"{figures.amount(answer.expected_delay_cost)} on average."
    )
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
            _said(need.required, figures),
            _said(need.available, figures),
            _said(need.short, figures),
            need.unit,
            WORDS[need.status],
        )
        for need in needs
    )
    heads = ("need", "required", "there or allowed", "short", "unit", "status")
    return Table("What the machine needs of the site", heads, rows, text_last=True)


def _said(value: float | None, figures: Figures) -> str:
    return NONE if value is None else figures.number(value, 2)


def _day(day: date | None) -> str:
    return NONE if day is None else day.isoformat()


def shopping_table(answer: Readiness, figures: Figures) -> Table:
    """What to buy, by when, and what it costs."""
    rows = [_bought(purchase, figures) for purchase in answer.purchases]
    rows.append(
        ("sum of those with a price", figures.quoted(answer.purchases_cents / 100), *[""] * 3)
    )
    heads = ("what", "price", "order by", "arrives", "paid to; price by")
    return Table("What to buy", heads, tuple(rows), text_last=True)


def _bought(purchase: Purchase, figures: Figures) -> tuple[str, ...]:
    return (
        purchase.what,
        NONE if purchase.cents is None else figures.quoted(purchase.cents / 100),
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
    cost = "" if answer.crew_cents is None else f", {figures.quoted(answer.crew_cents / 100)}"
    rings = "; ".join(", ".join(ring) for ring in answer.rings)
    waiting = f" These wait for each other in a ring: {rings}." if rings else ""
    note = f"{figures.number(answer.crew_hours)} crew-hours{cost}; {answer.visits} trade visits."
    heads = ("step", "item", "from", "to", "parked")
    yield Table("Moves, in this order", heads, rows, text_last=True, note=note + waiting)


def _task_names(answer: Readiness) -> dict[str, str]:
    return {task.id: task.name for task in answer.tasks}


def bookings_table(answer: Readiness) -> Table:
    """Whom to book, and by when."""
    names = _task_names(answer)
    rows = tuple(
        (b.trade, names[b.task], _day(b.book_by), _day(b.planned_booking), b.wanted_on.isoformat())
        for b in answer.bookings
    )
    heads = ("trade", "for", "book by", "book by the plan", "wanted on")
    return Table("Whom to book", heads, rows, text_last=True)


def dates_table(tasks: Sequence[TaskDates], figures: Figures) -> Table:
    """When each task is planned, and how late it may be."""
    rows = tuple(
        (
            task.name,
            task.planned_start.isoformat(),
            task.planned_finish.isoformat(),
            task.late_finish.isoformat(),
            figures.number(task.float_days),
            "critical" if task.critical else "",
        )
        for task in sorted(tasks, key=lambda task: (task.planned_start, task.planned_finish))
    )
    heads = ("task", "planned start", "planned finish", "latest finish", "float, days", "")
    return Table("Dates", heads, rows, text_last=True)


def figures_table(answer: Readiness, figures: Figures) -> Table:
    """Figures for the talk with electrician, pipefitter and rigger."""
    rows = tuple((f.name, _said(f.value, figures), f.unit) for f in answer.figures)
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
                "kind": "critical" if task.critical else "has float",
            }
        )
    return rows


def gantt_marks(answer: Readiness) -> list[dict[str, Any]]:
    """Days that matter, for the chart."""
    chips = answer.first_chips
    days = {
        "machine arrives": answer.delivery,
        "first chips 50 %": chips.p50,
        "first chips 80 %": chips.p80,
        "first chips 95 %": chips.p95,
    }
    return [{"day": day.isoformat(), "mark": mark} for mark, day in days.items()]
