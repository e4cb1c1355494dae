"""Changed cases through all commands, seeded: `pytest -n2 tests/bench/test_changed_cases.py`.

570 cases take about an hour of one core; of them some 150 pass the check and go through fourteen
commands each. ``OPTIONEER_SEEDS=60`` tries as many.
"""

import os
from pathlib import Path

import pytest

from tests.every_command import breaches, changed_case

SEEDS = int(os.environ.get("OPTIONEER_SEEDS", "570"))


@pytest.mark.parametrize("seed", range(SEEDS))
def test_what_the_check_passes_every_command_takes_or_says_in_a_sentence(
    seed: int, tmp_path: Path
) -> None:
    assert list(breaches(changed_case(seed), tmp_path)) == []
