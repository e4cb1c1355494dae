"""Pages of the app looked at alone, with a case that is open; no browser."""

from collections.abc import Mapping
from pathlib import Path

from streamlit.testing.v1 import AppTest

from optioneer.app.drafts import Store, new_draft
from optioneer.app.state import Session
from optioneer.files.texts import folder_texts

DEMOS = Path(__file__).parents[2] / "catalogs_demo"


def texts(demo: str = "small-mill", *, without: str = "") -> dict[str, str]:
    """The files of a demo case, one of them left out if asked."""
    return {name: text for name, text in folder_texts(DEMOS / demo).items() if name != without}


def opened(page: str, files: Mapping[str, str], kept_in: Path) -> AppTest:
    """A page of the app with a case open, not drawn yet."""

    def draw(page: str) -> None:
        import importlib  # noqa: PLC0415 - the function is run as a script of its own

        importlib.import_module(f"optioneer.app.{page}").page()

    app = AppTest.from_function(draw, kwargs={"page": page}, default_timeout=60)
    app.session_state["optioneer"] = Session(draft=new_draft("small-mill", files))
    app.session_state["optioneer-store"] = Store(kept_in)
    return app


def seen(app: AppTest) -> str:
    """Every text and table on the page."""
    assert not app.exception, app.exception
    kinds = ("title", "header", "subheader", "markdown", "caption", "info", "error")
    texts = [element.value for kind in kinds for element in app.get(kind)]
    texts += [element.proto.body for element in app.get("html")]
    texts += [f"{metric.label}: {metric.value}" for metric in app.metric]
    return "\n".join(texts)
