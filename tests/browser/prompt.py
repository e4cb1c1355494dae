"""Waiting for what a page is to show, looked at often enough that nobody waits for the look."""

import time
from collections.abc import Callable
from functools import partial
from typing import cast

from playwright.sync_api import Locator
from playwright.sync_api import expect as looked_for

from tests.patience import PATIENCE

STRETCH = 2000.0
"""How long is waited at a stretch [ms]: in one of up to 2.5 s the browser is looked at every 100 ms
at last, in a longer one every 500 ms."""


class Prompt:
    """What may be asked of a part of a page, as by playwright's own `expect`, in many short waits.

    Parameters
    ----------
    found
        The part.
    """

    def __init__(self, found: Locator) -> None:
        self._asked = looked_for(found)

    def __getattr__(self, name: str) -> Callable[..., None]:
        return partial(_held, getattr(self._asked, name))


def _held(asked: Callable[..., None], *wanted: object, **how: object) -> None:
    """Wait until it holds, as long as `timeout` [ms] or else patience lasts.

    Raises
    ------
    AssertionError
        It does not hold in time; or never can, as where the page is closed: that is said at once.
    """
    end = time.monotonic() + cast("float", how.pop("timeout", 1000 * PATIENCE)) / 1000
    while True:
        begun = time.monotonic()
        stretch = min(STRETCH, max(1000 * (end - begun), 1.0))
        try:
            return asked(*wanted, timeout=stretch, **how)
        except AssertionError:
            now = time.monotonic()
            if now >= end or 1000 * (now - begun) < stretch:
                raise


def expect(found: Locator) -> Prompt:
    """What a part of a page is to be or to show, soon."""
    return Prompt(found)
