"""Giving memory back to the system.

The allocator of many Linux systems keeps what threads have freed: after an hour of sliders moved by
eight people the server would hold several times what it needs.
"""

import ctypes
import gc
import sys
import threading
import time

SELDOM = 10.0
"""How often garbage is collected at most [s]."""

_tidied = [time.monotonic()]
_lock = threading.Lock()


def tidy() -> bool:
    """Collect what refers to itself, and give it back, but seldom; whether it was time.

    After every drawing of a page, as the framework would do it, it takes more than the drawings;
    never done, memory climbs.
    """
    with _lock:
        now = time.monotonic()
        if now - _tidied[0] < SELDOM:
            return False
        _tidied[0] = now
    gc.collect()
    give_back()
    return True


def give_back() -> bool:
    """Give back what was freed, where the system has a way; whether there was anything."""
    if sys.platform != "linux":
        return False
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # of the GNU C library, not of others
    return bool(trim(0)) if trim is not None else False
