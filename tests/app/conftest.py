"""Every test of the app keeps its drafts to itself."""

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def own_drafts(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("OPTIONEER_STATE", str(tmp_path / "state"))
    return tmp_path / "state"
