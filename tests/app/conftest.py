"""Every test of the app keeps its drafts to itself."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import streamlit as st
from altair.utils import schemapi
from streamlit.components.v2 import manifest_scanner

from optioneer.app.apart import worked_out
from optioneer.app.apart.worked_out import Lately
from optioneer.app.engine import work
from optioneer.app.engine.work import Bench
from optioneer.app.session import state
from optioneer.valuation.cache.memory import MEMORY
from tests import lessons
from tests.patience import PATIENCE

# Every page that is drawn without a server looks through all installed packages for components:
# no page of the app uses any.
manifest_scanner.scan_component_manifests = lambda max_workers=None: []  # noqa: ARG005 - as it is called


DRAWINGS = ("test_curve", "test_pictures", "test_play", "test_show")


@pytest.fixture(autouse=True)
def charts_are_trusted(request: pytest.FixtureRequest) -> Iterator[None]:
    """As the app trusts them: it takes most of a drawing to hold one to its schema.

    Tests of drawings hold them to it, and so do `walked` and `tests/charts`.
    """
    with schemapi.debug_mode(request.path.stem in DRAWINGS):
        yield


ON_FEW_LESSONS = ("test_decide", "test_kept", "test_money_pages", "test_pages", "test_play")
"""What is said of pages there holds however well policies are learned."""

FEWEST = 96
"""Futures that are learned from at least."""


@pytest.fixture(scope="module", autouse=True)
def few_lessons(request: pytest.FixtureRequest) -> Iterator[None]:
    """Learning takes most of the time of a case on few futures: there on as few, app and all.

    What was worked out otherwise is known neither there nor afterwards.
    """
    if request.path.stem not in ON_FEW_LESSONS:
        yield
        return
    with lessons.few_lessons(FEWEST), pytest.MonkeyPatch.context() as code:
        for name in ("_WHOLE", "_FEW", "_ADVICE"):
            code.setattr(worked_out, name, Lately(8))
        st.cache_data.clear()
        yield
    st.cache_data.clear()
    MEMORY.forget()


@pytest.fixture(autouse=True)
def nobody_works_on() -> Iterator[None]:
    """What a page still works on when its test is over is stopped: nobody looks at it."""
    benches: list[Bench] = []

    def noted(*told: Any) -> Bench:
        benches.append(Bench(*told))
        return benches[-1]

    with pytest.MonkeyPatch.context() as code:
        code.setattr(state, "Bench", noted)
        yield
    for bench in benches:
        bench.close()
        while errand := bench.latest:
            errand.wait(PATIENCE, answers=len(errand.stages))


@pytest.fixture(autouse=True)
def no_slider_moves_on() -> Iterator[None]:
    """Better answers are begun at once: nobody goes on moving a slider that they would wait for.

    That they do wait is asked of the work itself, in `test_work`.
    """
    with pytest.MonkeyPatch.context() as code:
        code.setattr(work, "PAUSE", 0.0)
        yield


@pytest.fixture(autouse=True)
def own_drafts(tmp_path: Path) -> Iterator[Path]:
    # a change of the environment, not of code: what was worked out before may be kept
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv("OPTIONEER_STATE", str(tmp_path / "state"))
        yield tmp_path / "state"
