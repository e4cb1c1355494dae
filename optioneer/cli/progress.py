"""A bar on standard error for work that lasts."""

import contextlib
import ctypes
import gc
import os
import sys
import threading
from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING

from optioneer.standard_files import flush

if TYPE_CHECKING:
    from optioneer.model.case import Case

PATIENCE = 1.0
"""Work that lasts longer than this gets a progress bar [s]."""

MANY = 100
"""Packages of one cluster from which on they are what takes long."""

OUTPUT, ERRORS = 1, 2
"""File descriptors of standard output and standard error."""


def weighing(*cases: "Case") -> str:
    """What takes longest where the packages of `cases` are weighed."""
    from optioneer.study.problem.clusters import LARGEST_SWEEP, widest
    from optioneer.study.problem.related import package_count

    tangles = [(widest(case), case.growth.futures) for case in cases]
    slots, futures = max(tangles, key=lambda each: package_count(each[0]) * each[1])
    count = package_count(slots)
    if count < MANY:
        return "Weighing the packages"
    tied = f"{len(slots)} slots tied together" if len(slots) > 1 else f"slot {slots[0].name}"
    if count * futures > LARGEST_SWEEP:
        return f"Searching the packages of {tied}, {futures:,} futures"
    return f"Weighing {count:,} packages of {tied}, {futures:,} futures"


@contextlib.contextmanager
def progress_bar(doing: str) -> "Iterator[Callable[[float], None]]":
    """A callback that moves a bar on standard error, shown once the work has lasted a while.

    Meanwhile standard output is kept for the answer.
    """
    if not gc.isenabled():  # in a process that the way in has begun, not one that lives on
        from optioneer.study.problem.cores import hold_memory

        hold_memory()
    collect_garbage()
    with _output_kept(), _bar(doing) as moved:
        yield moved


def collect_garbage() -> None:
    """From now on give back what nobody holds any more, if the way in has put that off.

    What was imported until now stays, and is not gone through again.
    """
    if not gc.isenabled():
        gc.freeze()
        gc.enable()


@contextlib.contextmanager
def _output_kept() -> Iterator[None]:
    """What libraries written in C print meanwhile goes to standard error.

    Solvers print lines to file descriptor 1 now and then, past Python; JSON there must stay JSON.
    """
    flush()
    try:
        os.fstat(ERRORS)
        answer = os.dup(OUTPUT)
    except OSError:  # one of them is closed: nothing to keep
        yield
        return
    try:
        os.dup2(ERRORS, OUTPUT)
        yield
    finally:
        _flush_libraries()
        os.dup2(answer, OUTPUT)
        os.close(answer)


def _flush_libraries() -> None:
    """Have what C libraries still hold back written while it goes to standard error."""
    library = "msvcrt" if sys.platform == "win32" else None
    ctypes.CDLL(library).fflush(None)


@contextlib.contextmanager
def _bar(doing: str) -> "Iterator[Callable[[float], None]]":
    if sys.stderr is None or not sys.stderr.isatty():
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
