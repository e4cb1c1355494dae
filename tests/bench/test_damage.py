"""Thousands of changed lists, mappings and calendars: `pytest -n0 -s tests/bench/test_damage.py`.

Set OPTIONEER_SEED to try others than the usual ones.
"""

import os
from pathlib import Path

from tests.files.damage import (
    CALENDARS,
    LISTS,
    MAPPINGS,
    calendar_trial,
    list_trial,
    lists_of,
    mapping_trial,
    outcomes,
)
from tests.files.quote.ugly_lists import CASE, UGLY
from tests.reports.test_calendar import DAYS

SEED = int(os.environ.get("OPTIONEER_SEED", "18"))
WHOLE = lists_of([ugly.data for ugly in UGLY.values()])


def test_changed_lists() -> None:
    found = outcomes(LISTS, SEED, list_trial(WHOLE, CASE))
    print(f"{LISTS:,} lists, seed {SEED}: {dict(found)}")  # noqa: T201 - a bench tells
    assert min(found["taken"], found["asked"], found["refused"]) > 0


def test_changed_mappings(tmp_path: Path) -> None:
    found = outcomes(MAPPINGS, SEED, mapping_trial(WHOLE, CASE, tmp_path))
    print(f"{MAPPINGS:,} mappings, seed {SEED}: {dict(found)}")  # noqa: T201 - a bench tells
    assert min(found["taken"], found["asked"], found["refused"]) > 0


def test_damaged_calendars() -> None:
    found = outcomes(CALENDARS, SEED, calendar_trial(DAYS))
    print(f"{CALENDARS:,} calendars, seed {SEED}: {dict(found)}")  # noqa: T201 - a bench tells
    assert min(found["taken"], found["refused"]) > 0
