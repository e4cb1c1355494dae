"""System programs that some tests need: a browser, a spreadsheet, a page renderer."""

import os
import shutil

import pytest


def needed(name: str) -> str:
    """Path of the program `name`.

    Where it is missing the test is skipped, with the reason; in CI, which sets
    ``OPTIONEER_ALL_TESTS``, it fails, as nothing may be left out there.
    """
    found = shutil.which(name)
    if found is not None:
        return found
    reason = f"needs the program '{name}', which is not installed here"
    if os.environ.get("OPTIONEER_ALL_TESTS"):
        pytest.fail(reason)
    pytest.skip(reason)
