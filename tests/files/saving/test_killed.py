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


def acknowledged_while_killed(writers: tuple[str, ...], count: int, folder: Path) -> dict[str, int]:
    """Writes of each kind that were acknowledged while so many children were killed.

    What each of them left was looked at; where it was no good, its kind is missing here.
    """
    command = [sys.executable, "-m", "tests.files.saving.killing"]
    command += [str(count), "7", str(folder), *writers]
    quiet = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        command, cwd=ROOT, env=quiet, capture_output=True, text=True, check=False, timeout=PATIENCE
    )
    sys.stderr.write(done.stderr)
    assert done.returncode == 0
    told = (line.split() for line in done.stdout.splitlines())
    return {writer: int(acknowledged) for writer, acknowledged in told}


@pytest.fixture(scope="module")
def acknowledged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, int]:
    """What a dozen killed writers of each kind had acknowledged."""
    return acknowledged_while_killed(WRITERS, 12, tmp_path_factory.mktemp("killed"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("writer", WRITERS)
def test_a_killed_writer_leaves_the_old_state_or_the_new_one(
    acknowledged: dict[str, int], writer: str
) -> None:
    assert acknowledged[writer] > 0
