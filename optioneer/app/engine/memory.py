"""Giving memory back to the system.

The allocator of many Linux systems keeps what threads have freed: after an hour of sliders moved by
eight people the server would hold several times what it needs.
"""

import ctypes
import sys


def give_back() -> bool:
    """Give back what was freed, where the system has a way; whether there was anything."""
    if sys.platform != "linux":
        return False
    trim = getattr(ctypes.CDLL(None), "malloc_trim", None)  # of the GNU C library, not of others
    return bool(trim(0)) if trim is not None else False
