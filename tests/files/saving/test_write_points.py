"""Something happens at a write point: the old state or the new one, and what was said holds.

A sample here, drawn anew from a fixed seed; all points in ``tests/bench/test_write_points.py``.
"""

import os
import random
from pathlib import Path

import pytest

from tests.files.saving.faults import KINDS
from tests.files.saving.writing import WRITERS, hold, points_of

SAMPLED = 25
"""Points of each way of writing."""

pytestmark = pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")


@pytest.mark.parametrize("folders", ["synced", "unsynced"])
@pytest.mark.parametrize("name", WRITERS)
def test_whatever_happens_at_a_write_point_it_is_the_old_state_or_the_new_one(
    tmp_path: Path, name: str, folders: str
) -> None:
    most = points_of(name, tmp_path / "count")
    chance = random.Random(f"{name} {folders}")  # noqa: S311 - points to strike at
    every = [(kind, at) for kind in KINDS for at in range(1, most + 1)]
    for kind, at in chance.sample(every, min(SAMPLED, len(every))):
        hold(name, kind, at, place=tmp_path / "case", folders_sync=folders == "synced")
