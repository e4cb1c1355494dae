"""Every write point of every way of writing, with everything that may happen there.

Run with ``pytest -n0 -s tests/bench/test_write_points.py``: a few minutes.
"""

import os
import sys
from pathlib import Path

import pytest

from tests.files.saving.faults import KINDS
from tests.files.saving.writing import WRITERS, hold, points_of

pytestmark = [
    pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked"),
    pytest.mark.timeout(1200),
]


@pytest.mark.parametrize("folders", ["synced", "unsynced"])
@pytest.mark.parametrize("name", WRITERS)
def test_whatever_happens_at_any_write_point_it_is_the_old_state_or_the_new_one(
    tmp_path: Path, name: str, folders: str, capsys: pytest.CaptureFixture[str]
) -> None:
    most = points_of(name, tmp_path / "count")
    for kind in KINDS:
        for at in range(1, most + 1):
            hold(name, kind, at, place=tmp_path / "case", folders_sync=folders == "synced")
    with capsys.disabled():
        sys.stdout.write(f"\n{name}: {most} write points, {len(KINDS)} faults each, none failed ")
