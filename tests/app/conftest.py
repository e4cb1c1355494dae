"""Every test of the app keeps its drafts to itself."""

from collections.abc import Iterator
from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_drafts(tmp_path: Path) -> Iterator[Path]:
    # a change of the environment, not of code: what was worked out before may be kept
    with pytest.MonkeyPatch.context() as environment:
        environment.setenv("OPTIONEER_STATE", str(tmp_path / "state"))
        yield tmp_path / "state"
