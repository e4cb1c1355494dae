"""Processes killed at random moments of every way of writing: the old state or the new one.

A few of each here; ``tests/bench/test_kills.py`` kills 500. SIGKILL is no power cut: that the disk
keeps what it has confirmed is the disk's promise, not tested here.
"""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.patience import PATIENCE

ROOT = Path(__file__).parents[3]
WRITERS = ("save", "decide", "fact", "paper", "new")


def acknowledged_while_killed(writer: str, count: int, folder: Path) -> int:
    """Writes that were acknowledged while so many children were killed; each left was looked at."""
    command = [
        sys.executable,
        "-m",
        "tests.files.saving.killing",
        writer,
        str(count),
        "7",
        str(folder),
    ]
    quiet = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        command, cwd=ROOT, env=quiet, capture_output=True, text=True, check=False, timeout=PATIENCE
    )
    assert done.stderr == ""
    assert done.returncode == 0
    return int(done.stdout)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("writer", WRITERS)
def test_a_killed_writer_leaves_the_old_state_or_the_new_one(tmp_path: Path, writer: str) -> None:
    assert acknowledged_while_killed(writer, 12, tmp_path) > 0
