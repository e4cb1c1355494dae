"""The tasks over time, a row each: the name above its bar, so that a phone shows it all."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from optioneer.app.engine.words import escaped
from optioneer.app.parts import show
from optioneer.app.parts.scale import MarkedLine
from optioneer.reports.page.parts import Table
from optioneer.reports.ready.page import gantt_marks, gantt_rows
from optioneer.study.ready.answers import Readiness

MONTHS = 12
"""Months named along the top at most."""


def draw(answer: Readiness, dates: Table) -> None:
    """Every task with its room and the day to book, and the days that matter."""
    show.drawing(
        road_picture(gantt_rows(answer), gantt_marks(answer)),
        show.Behind((dates,), "tasks"),
        "Bar: planned; dark: critical; hollow: at the earliest. Thin line: room. Triangle: order "
        "or book by. Lines down: the days that are named above.",
    )


def road_picture(rows: Sequence[Mapping[str, Any]], marks: Sequence[Mapping[str, Any]]) -> str:
    """The rows of the chart of tasks and its days as a picture for any width."""
    days = [_number(row[key]) for row in rows for key in ("start", "latest")]
    days += [_number(row["book"]) for row in rows if row["book"]]
    days += [_number(mark["day"]) for mark in marks]
    line = MarkedLine(min(days), max(days))
    lines = "".join(
        f'<i class="mark" style="left:{line.at(_number(mark["day"])):.2f}%"></i>' for mark in marks
    )
    body = "".join(_row(row, line, lines) for row in rows)
    named = "".join(
        f"<li>{escaped(str(mark['day']))} {escaped(str(mark['mark']))}</li>" for mark in marks
    )
    return (
        f'<div class="road"><div class="months">{_months(line)}</div>{body}'
        f'<ul class="days">{named}</ul></div>'
    )


def _number(day: str) -> float:
    return float(date.fromisoformat(day).toordinal())


def _months(line: MarkedLine) -> str:
    first, last = date.fromordinal(int(line.low)), date.fromordinal(int(line.high))
    count = 12 * (last.year - first.year) + last.month - first.month
    step = max(count // MONTHS + 1, 1)
    starts = [
        date(first.year + (first.month + n - 1) // 12, (first.month + n - 1) % 12 + 1, 1)
        for n in range(1, count + 1, step)
    ]
    return "".join(
        f'<span style="left:{line.at(start.toordinal()):.2f}%">{start:%Y-%m}</span>'
        for start in starts
    )


def _row(row: Mapping[str, Any], line: MarkedLine, lines: str) -> str:
    start, finish, latest = (line.at(_number(row[key])) for key in ("start", "finish", "latest"))
    kind = {"critical": "critical", "at the earliest": "early"}.get(str(row["kind"]), "float")
    book = ""
    if row["book"]:
        book = f'<i class="book" style="left:{line.at(_number(row["book"])):.2f}%"></i>'
    told = f"{row['start']} to {row['finish']}, {row['kind']}"
    return (
        f'<div class="task"><span>{escaped(str(row["task"]))} <small>{escaped(told)}</small></span>'
        f'<div class="track" aria-hidden="true">{lines}'
        f'<i class="room" style="left:{finish:.2f}%;width:{latest - finish:.2f}%"></i>'
        f'<i class="bar {kind}" style="left:{start:.2f}%;width:{max(finish - start, 0.4):.2f}%">'
        f"</i>{book}</div></div>"
    )
