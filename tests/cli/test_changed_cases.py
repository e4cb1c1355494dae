"""What the check passes, every command takes, or says in one sentence.

`tests/bench/test_changed_cases.py` tries many more; what was found there stands here.
"""

from pathlib import Path

import pytest

from tests.cases_as_texts import changed, few, mill, with_cell
from tests.every_command import FUTURES, breaches, changed_case, results

FOUND = {
    "a base price of nothing": ("machine.toml", r"^base_price = .*", "base_price = 0.0"),
    "a contract used up by credits": ("machine.toml", r"^base_price = .*", "base_price = 100.0"),
    "a loan eaten by its fee": ("paying.toml", r"^fee = 300.00", "fee = 900000.0"),
    "notice of a million days": ("site.toml", r"^notice_days = .*", "notice_days = 1000000.0"),
    "no months": ("paying.toml", r'"accepted \+ 2 weeks"', '"accepted + 0 months"'),
    "work that explodes": ("growth.toml", r"^fallback = .*", "swing = 3.0\ngrowth = 1.0"),
    "a calendar year": ("growth.toml", r"^years = \[0.25.*", "years = [2027, 2028, 2030]"),
    "an order in 1990": ("machine.toml", r"^order = .*", "order = 1990-01-01"),
    "a trade twice": ("site.toml", r"^trades = .*", 'trades = ["rigger", "rigger"]'),
    "an order in 2100": ("machine.toml", r"^order = .*", "order = 2100-12-31"),
}


SMALL = few(mill(FUTURES))
"""Each option and each stream has figures that `sensitivity` and `bargain` all ask about."""

ALLOWED = ("no months", "an order in 1990", "a calendar year", "work that explodes")
"""What every command takes; tried in one case, which keeps none of them from its work."""


@pytest.mark.parametrize("name", [name for name in FOUND if name not in ALLOWED])
def test_what_once_passed_and_crashed_later_is_refused_or_taken(name: str, tmp_path: Path) -> None:
    assert list(breaches(changed(SMALL, *FOUND[name]), tmp_path)) == []


def test_what_is_odd_but_allowed_keeps_no_command_from_its_work(tmp_path: Path) -> None:
    """A multiplier that is money, too."""
    texts = with_cell(SMALL, "rotary-table", multiplier_high="12980")
    for name in ALLOWED:
        texts = changed(texts, *FOUND[name])
    found = list(results(texts, tmp_path))
    assert len(found) > 20
    assert [one.output for _, one in found if one.exit_code] == []


@pytest.mark.parametrize("seed", range(2))
def test_changed_cases_go_through_every_command(seed: int, tmp_path: Path) -> None:
    assert list(breaches(changed_case(seed), tmp_path)) == []
