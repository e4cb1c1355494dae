"""Every command that a page prints, in a fresh folder, against the answer printed below it."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.pages import PAGES, ROOT, Printed, missing_passages, printed
from tests.patience import PATIENCE

STAYS_OPEN = {"app"}
"""Commands that end when they are stopped; ``tests/browser`` opens the app."""


def told(asked: Printed, folder: Path) -> str:
    """What the real command writes; it must end well."""
    done = subprocess.run(
        [sys.executable, "-m", "optioneer", *asked.words],
        capture_output=True,
        text=True,
        check=False,
        cwd=folder,
        env={**os.environ, "PYTHONPATH": str(ROOT), "LC_ALL": "C.UTF-8", "COLUMNS": "100"},
        timeout=PATIENCE,
    )
    assert done.returncode == 0, f"{asked.words}: {done.stderr}"
    return done.stdout


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_is_printed_is_what_comes(page: Path, tmp_path: Path) -> None:
    shutil.copytree(ROOT / "catalogs_demo", tmp_path / "catalogs_demo")
    for asked in printed(page):
        if asked.words[0] not in STAYS_OPEN:
            assert missing_passages(asked, told(asked, tmp_path)) == []
