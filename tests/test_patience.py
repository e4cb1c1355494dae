"""No test can fail because the machine is slow."""

import re
from pathlib import Path

from hypothesis import HealthCheck, settings

TESTS = Path(__file__).parent
WAITS = re.compile(r"timeout=\d[\d_.]*(?! \*)\b|\.(?:settimeout|timeout)\(\d")
"""Deadlines written as figures, instead of the one of `tests.patience`."""


def test_examples_drawn_at_random_have_no_deadline() -> None:
    assert settings().deadline is None
    assert HealthCheck.too_slow in settings().suppress_health_check


def test_whoever_waits_waits_as_long_as_the_slowest_machine_needs() -> None:
    found = {
        f"{file.relative_to(TESTS)}: {match[0]}"
        for file in TESTS.rglob("*.py")
        if "bench" not in file.parts and file != Path(__file__)
        for match in WAITS.finditer(file.read_text(encoding="utf-8"))
    }
    assert found == set()
