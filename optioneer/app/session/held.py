"""What a visitor's session holds: an act that touches it twice is not interrupted in between.

The framework ends a script, and a callback, too, wherever it touches the session while the page is
to be drawn anew: somebody turns it, or types on. What was done by half would stay so: written to
disk but not shown, or a press without its effect. Here such a wish waits until the act is over.
"""

from collections.abc import Callable, Iterator, MutableMapping
from typing import Any, TypeVar

import streamlit as st
from streamlit.runtime.scriptrunner import RerunException, get_script_run_ctx

Found = TypeVar("Found")


def undisturbed(touch: Callable[[], Found]) -> Found:
    """What a touch of the session gives; a wish to draw the page anew is told again after it."""
    wishes = []
    while True:
        try:
            found = touch()
            break
        except RerunException as wish:  # each is told once, so that this ends
            wishes.append(wish.rerun_data)
    context = get_script_run_ctx()
    if context is not None and context.script_requests is not None:
        for data in wishes:
            context.script_requests.request_rerun(data)
    return found


class Held(MutableMapping[str, Any]):
    """The session of the visitor whose page is drawn, by key."""

    def __getitem__(self, key: str) -> Any:
        return undisturbed(lambda: st.session_state[key])

    def __setitem__(self, key: str, value: Any) -> None:
        undisturbed(lambda: st.session_state.__setitem__(key, value))

    def __delitem__(self, key: str) -> None:
        undisturbed(lambda: st.session_state.__delitem__(key))

    def __iter__(self) -> Iterator[str]:
        return iter(undisturbed(lambda: [str(key) for key in st.session_state]))

    def __len__(self) -> int:
        return undisturbed(lambda: len(st.session_state))


HELD = Held()
"""The session."""


def interruptible() -> None:
    """End here what is drawn where the page is to be drawn anew."""
    st.session_state.get("anything")
