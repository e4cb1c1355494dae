"""Processes killed at random moments of every way of writing: the old state or the new one.

A few of each here; ``tests/bench/test_kills.py`` kills 500. SIGKILL is no power cut: that the disk
keeps what it has confirmed is the disk's promise, not tested here.
"""

import os
from pathlib import Path

import pytest

from tests.files.saving.killing import WRITERS, acknowledged_while_killed


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("writer", WRITERS)
def test_a_killed_writer_leaves_the_old_state_or_the_new_one(tmp_path: Path, writer: str) -> None:
    assert acknowledged_while_killed(writer, 12, tmp_path) > 0
