"""Every test of the app keeps its drafts to itself."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from altair.utils import schemapi
from streamlit.components.v2 import manifest_scanner

# Every page that is drawn without a server looks through all installed packages for components:
# what is installed stays the same while tests run.
manifest_scanner.scan_component_manifests = cache(manifest_scanner.scan_component_manifests)


DRAWINGS = ("test_curve", "test_pictures", "test_play", "test_show")


@pytest.fixture(autouse=True)
def charts_are_trusted(request: pytest.FixtureRequest) -> Iterator[None]:
    """As the app trusts them: it takes most of a drawing to hold one to its schema.

    Tests of drawings hold them to it, and so do `walked` and `tests/charts`.
    """
    with schemapi.debug_mode(request.path.stem in DRAWINGS):
        yield


@pytest.fixture(autouse=True)
def own_drafts(tmp_path: Path) -> Iterator[Path]:
    # a change of the environment, not of code: what was worked out before may be kept
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv("OPTIONEER_STATE", str(tmp_path / "state"))
        yield tmp_path / "state"
