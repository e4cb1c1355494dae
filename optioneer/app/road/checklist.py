"""What is to be ordered, booked and moved, to tick off; the marks stay beside the case."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import partial

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.road.called import in_places, item_called, order_called, trade_called
from optioneer.app.session import state
from optioneer.model.site import Site
from optioneer.study.ready.answers import Readiness, TaskDates


@dataclass(frozen=True)
class ToDo:
    """One thing to do.

    Parameters
    ----------
    key
        What tells it from the others.
    said
        What, with whom.
    by
        The latest day (ISO), or '' where none is known.
    planned
        The day that the plan has for it (ISO), or ''.
    """

    key: str
    said: str
    by: str
    planned: str = ""


def things_to_do(site: Site, answer: Readiness) -> tuple[ToDo, ...]:
    """Everything to order, to book and to move; the earliest day first, what has none last."""
    found = (*_orders(site, answer), *_bookings(site, answer), *_moves(site, answer))
    return tuple(sorted(found, key=lambda one: (not one.by, one.by)))


def _orders(site: Site, answer: Readiness) -> list[ToDo]:
    return [
        ToDo(
            f"order-{one.id}",
            f"Order {order_called(site, one)}" + (f"; {one.payee}" if one.payee else ""),
            _iso(one.order_by),
            _iso(one.planned_order),
        )
        for one in answer.purchases
    ]


def _bookings(site: Site, answer: Readiness) -> list[ToDo]:
    names = {task.id: task.name for task in answer.tasks}
    return [
        ToDo(
            f"book-{one.trade}-{one.task}",
            f"Book {trade_called(site, one.trade)} for {one.wanted_on.isoformat()}: "
            f"{names.get(one.task, one.task)}",
            _iso(one.book_by),
            _iso(one.planned_booking),
        )
        for one in answer.bookings
    ]


def _moves(site: Site, answer: Readiness) -> list[ToDo]:
    tasks = {task.id: task for task in answer.tasks}
    return [
        ToDo(
            f"move-{one.step}-{one.item}",
            f"Move {item_called(site, one.item)} from {in_places(one.from_)} to "
            f"{in_places(one.to)}" + (", for a while" if one.parked else ""),
            *_days(tasks.get(f"move-{one.step}-{one.item}")),
        )
        for one in answer.moves
    ]


def _days(task: TaskDates | None) -> tuple[str, str]:
    """By when a task must be done, and when it is planned to be."""
    if task is None or task.undated:
        return "", ""
    return task.late_finish.isoformat(), task.planned_finish.isoformat()


def _iso(day: object) -> str:
    return "" if day is None else str(day)


def draw(site: Site, answer: Readiness) -> None:
    """A box to tick a thing; what is late and not done stands out."""
    things = things_to_do(site, answer)
    if not things:
        return
    name = f"done-{state.required_draft().id}"
    done = ticked_off(state.last_note(name))
    count = sum(one.key in done for one in things)
    st.subheader(f"To do: {count} of {len(things)} done")
    for one in things:
        key = f"{name}-{one.key}"
        state.recall(key, lambda held: isinstance(held, bool))
        st.checkbox(
            literal(f"{one.said}; {day_said(one, done, state.clock().date().isoformat())}"),
            value=one.key in done,
            key=key,
            on_change=partial(_mark, name, one.key, key),
        )


def ticked_off(noted: object) -> dict[str, str]:
    """What is done, with the day on which it was ticked off."""
    if not isinstance(noted, Mapping):
        return {}
    return {str(key): str(day) for key, day in noted.items()}


def day_said(one: ToDo, done: Mapping[str, str], today: str) -> str:
    """When it was done, or by when it must be, and whether that is over."""
    if one.key in done:
        return f"done {done[one.key]}"
    if not one.by:
        return "no day is known"
    planned = f", planned {one.planned}" if one.planned and one.planned != one.by else ""
    return f"by {one.by}{planned}{', late' if one.by < today else ''}"


def _mark(name: str, what: str, key: str) -> None:
    """Note that something is done today, or is not after all."""
    done = ticked_off(state.last_note(name))
    done.pop(what, None)
    if state.widget(key):
        done[what] = state.clock().date().isoformat()
    state.note(name, done)
