"""Every page once, as first drawn; several tests look at it."""

import html
import re
from collections.abc import Iterator
from functools import cache

from altair.utils import schemapi
from streamlit.testing.v1 import AppTest

from optioneer.app.session.state import Session
from tests.app.visits import draft_of, settled, small_mill
from tests.cases_as_texts import few
from tests.patience import PATIENCE

PAGES = (
    "answer",
    "buyer",
    "owner",
    "bookkeeper",
    "first_chips",
    "decide",
    "questions",
    "case_page",
)


LOADED = ("night-lots", "pallet-loader", "work-probe")
"""What verdicts turn with along the first driver, and an option of the packages of the case."""


def a_page(word: str) -> None:
    import importlib  # noqa: PLC0415 - the source of this function is the script

    importlib.import_module(f"optioneer.app.views.{word}").page()


@cache
def walked(word: str) -> AppTest:
    """A page of a few options of the small mill, on the standard machine; nobody may change it.

    Its charts are held to their schema.
    """
    test = AppTest.from_function(a_page, default_timeout=PATIENCE, args=(word,))
    draft = draft_of(few(small_mill(), *LOADED))
    test.session_state["optioneer"] = Session(draft=draft)
    test.session_state[f"package-{draft.id}"] = "bare"
    with schemapi.debug_mode(True):
        settled(test.run())
    assert not test.exception
    return test


def said(test: AppTest) -> Iterator[str]:
    """Every text of a page, its help and what stands in its empty fields included."""
    for element in _elements(test._tree):
        proto = getattr(element, "proto", None)
        for kind in ("label", "help", "placeholder", "body", "alt", "options"):
            text = getattr(proto, kind, "")
            for one in [text] if isinstance(text, str) else text:
                yield _bare(one if isinstance(one, str) else one.content)


def _elements(block: object) -> Iterator[object]:
    for child in getattr(block, "children", {}).values():
        yield child
        yield from _elements(child)


def _bare(text: str) -> str:
    """What is read of a text, without looks and marks."""
    looks = re.compile(r"<(style|script)>.*?</\1>|<[^>]*>", re.DOTALL)
    return html.unescape(looks.sub(" ", text)).replace("\\", "")
