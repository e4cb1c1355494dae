"""Acts that are done whole: Ctrl-C waits until what has begun is on the disk."""

import signal
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType


class _Later:
    """Takes note of Ctrl-C instead of stopping."""

    came = False

    def __call__(self, _number: int, _frame: FrameType | None) -> None:
        self.came = True


@contextmanager
def uninterrupted(*, dropped: bool = False) -> Iterator[None]:
    """Hold Ctrl-C back while the block runs, and let it count afterwards.

    Inside another such block, and in threads that Ctrl-C does not reach, it does nothing.

    Parameters
    ----------
    dropped
        Whether a Ctrl-C that came meanwhile is forgotten, because with the block all is done and
        said: nothing is left that could be stopped.
    """
    before = signal.getsignal(signal.SIGINT)
    reached = threading.current_thread() is threading.main_thread()
    if not reached or before is None or isinstance(before, _Later):
        yield
        return
    later = _Later()
    signal.signal(signal.SIGINT, later)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if later.came and not dropped:
        signal.raise_signal(signal.SIGINT)
