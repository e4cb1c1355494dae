"""What is to be ordered, booked and moved, to tick off; the marks stay beside the case."""

from dataclasses import dataclass
from functools import partial

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.session import state
from optioneer.study.ready.answers import Readiness


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
    """

    key: str
    said: str
    by: str


def things_to_do(answer: Readiness) -> tuple[ToDo, ...]:
    """Everything to order, to book and to move; the earliest day first, what has none last."""
    names = {task.id: task.name for task in answer.tasks}
    orders = [
        ToDo(
            f"order-{one.id}",
            f"Order {one.what}" + (f" from {one.payee}" if one.payee else ""),
            "" if one.order_by is None else one.order_by.isoformat(),
        )
        for one in answer.purchases
    ]
    bookings = [
        ToDo(
            f"book-{one.trade}-{one.task}",
            f"Book {one.trade} for {names.get(one.task, one.task)}, {one.wanted_on.isoformat()}",
            "" if one.book_by is None else one.book_by.isoformat(),
        )
        for one in answer.bookings
    ]
    moves = [
        ToDo(f"move-{one.step}-{one.item}", f"Move {one.item} from {one.from_} to {one.to}", "")
        for one in answer.moves
    ]
    return tuple(sorted([*orders, *bookings, *moves], key=lambda one: (not one.by, one.by)))


def draw(answer: Readiness) -> None:
    """A box to tick a thing; what is late and not done stands out."""
    things = things_to_do(answer)
    if not things:
        return
    name = f"done-{state.required_draft().id}"
    done = {key for key in state.noted(name) or () if isinstance(key, str)}
    count = sum(one.key in done for one in things)
    st.subheader(f"To do: {count} of {len(things)} done")
    today = state.clock().date().isoformat()
    for one in things:
        late = one.key not in done and one.by and one.by < today
        by = f", by {one.by}" if one.by else ", no day is known"
        key = f"{name}-{one.key}"
        state.recall(key, lambda held: isinstance(held, bool))
        st.checkbox(
            literal(f"{one.said}{by}{': late' if late else ''}"),
            value=one.key in done,
            key=key,
            on_change=partial(_marked, name, one.key, key),
        )


def _marked(name: str, what: str, key: str) -> None:
    """Note that something is done, or is not after all."""
    done = set(state.noted(name) or ())
    done = done | {what} if state.widget(key) else done - {what}
    state.note(name, sorted(done))
