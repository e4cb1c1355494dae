"""Visits to pages of the app without a browser."""

from collections.abc import Callable
from typing import Any

from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import Draft, new_draft
from optioneer.app.session.state import Session
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.texts import folder_texts
from tests.patience import PATIENCE

"""How long a page may take [s]."""


def small_mill(futures: int = 64) -> dict[str, str]:
    """The texts of the small demo, on few futures."""
    folder = next(folder for folder in demo_folders() if folder.name == "small-mill")
    texts = folder_texts(folder)
    lines = [
        f"futures = {futures}" if line.startswith("futures") else line
        for line in texts["growth.toml"].splitlines()
    ]
    return {**texts, "growth.toml": "\n".join(lines) + "\n"}


def draft_of(texts: dict[str, str]) -> Draft:
    """A draft that is open and saved nowhere."""
    return new_draft("small-mill", texts)


def visit(page: Callable[[], None], draft: Draft | None, *, enough: int | None = None) -> AppTest:
    """The page as first drawn for somebody who has `draft` open; `enough` as for `settled`."""
    test = AppTest.from_function(page, default_timeout=PATIENCE)
    test.session_state["optioneer"] = Session(draft=draft)
    return settled(test.run(), enough=enough)


def settled(test: AppTest, *, enough: int | None = None) -> AppTest:
    """The page once the slow work that it asked for is done and shown.

    Of what is worked on `enough` answers are waited for, then for all that the page asks next; for
    all answers unless told.
    """
    for _ in range(200):
        bench: Any = None
        if "optioneer-bench" in test.session_state:  # it has no `get`
            bench = test.session_state["optioneer-bench"]
        errand = bench and bench.latest
        if not errand or not errand.alive:
            break
        wanted = min(enough or len(errand.stages), len(errand.stages))
        errand.wait(PATIENCE, answers=wanted)
        if enough is not None and errand.alive:
            return settled(test.run())  # it gives way to what this drawing asks for
    return test.run()


def texts_of(test: AppTest) -> str:
    """Everything that is said on a page."""
    kinds = (test.title, test.header, test.subheader, test.markdown, test.caption, test.error)
    html = [str(element.proto.body) for element in test.get("html")]
    return "\n".join([*(str(element.value) for kind in kinds for element in kind), *html])


def current(test: AppTest) -> Draft:
    """What is open now."""
    session: Session = test.session_state["optioneer"]
    assert session.draft is not None
    return session.draft
