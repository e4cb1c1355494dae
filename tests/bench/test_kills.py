"""Five hundred processes killed in the middle of writing, a hundred of each way."""

from pathlib import Path

import pytest

from tests.files.saving.killing import WRITERS, acknowledged_while_killed


@pytest.mark.parametrize("writer", WRITERS)
def test_a_hundred_killed_writers_leave_nothing_halved(tmp_path: Path, writer: str) -> None:
    assert acknowledged_while_killed(writer, 100, tmp_path) > 10
