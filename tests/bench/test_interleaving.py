"""2,000 interleaved writers and readers of one case: nothing acknowledged is lost or mixed.

Run with ``pytest -n0 -s tests/bench/test_interleaving.py``: about a minute.
"""

import os
import sys
from pathlib import Path

import pytest

from tests.files.saving.interleaving import interleaved


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
@pytest.mark.parametrize("seed", [1, 2, 3])
def test_of_2000_acts_none_is_lost_and_none_sees_a_mixture(
    tmp_path: Path, seed: int, capsys: pytest.CaptureFixture[str]
) -> None:
    saved, refused, read = interleaved(tmp_path, writers=5, readers=3, acts=2000, seed=seed)
    assert saved > 100
    with capsys.disabled():
        sys.stdout.write(f"\n{saved} saves acknowledged, {refused} refused, {read} readings ")
