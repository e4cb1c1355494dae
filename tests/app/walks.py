"""Every page once, with all on it that is drawn when asked for; several tests look at it."""

from functools import cache

from streamlit.testing.v1 import AppTest

from optioneer.app.session.state import Session
from tests.app.visits import draft_of, settled, small_mill
from tests.patience import PATIENCE

PAGES = ("answer", "buyer", "owner", "bookkeeper", "first_chips", "decide", "case_page")


def a_page(word: str) -> None:
    import importlib  # noqa: PLC0415 - the source of this function is the script

    importlib.import_module(f"optioneer.app.views.{word}").page()


@cache
def walked(word: str) -> AppTest:
    """A page of the small mill, on the standard machine; nobody may change it."""
    test = AppTest.from_function(a_page, default_timeout=PATIENCE, args=(word,))
    draft = draft_of(small_mill())
    test.session_state["optioneer"] = Session(draft=draft)
    test.session_state[f"package-{draft.id}"] = "bare"
    if word == "owner":
        test.session_state["turning"] = test.session_state["ranges"] = True
    settled(test.run())
    assert not test.exception
    return test
