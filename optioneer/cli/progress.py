"""A bar on standard error for work that lasts."""

import contextlib
import sys
import threading
from collections.abc import Callable, Iterator

PATIENCE = 1.0
"""Work that lasts longer than this gets a progress bar [s]."""


@contextlib.contextmanager
def progress_bar(doing: str) -> "Iterator[Callable[[float], None]]":
    """A callback that moves a bar on standard error, shown once the work has lasted a while."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task(doing, total=1.0)
    delay = threading.Timer(PATIENCE, bar.start)
    delay.start()
    try:
        yield lambda done: bar.update(task, completed=done)
    finally:
        delay.cancel()
        delay.join()
        bar.stop()
