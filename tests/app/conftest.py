"""Every test of the app keeps its drafts to itself."""

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest
from streamlit.components.v2 import manifest_scanner

# Every page that is drawn without a server looks through all installed packages for components:
# what is installed stays the same while tests run.
manifest_scanner.scan_component_manifests = cache(manifest_scanner.scan_component_manifests)


@pytest.fixture(autouse=True)
def own_drafts(tmp_path: Path) -> Iterator[Path]:
    # a change of the environment, not of code: what was worked out before may be kept
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv("OPTIONEER_STATE", str(tmp_path / "state"))
        yield tmp_path / "state"
