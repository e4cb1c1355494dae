"""Work done in a child process, so that what it breaks is gone with it."""

import os
import pickle
import resource
import selectors
import signal
import time
import warnings
from collections.abc import Callable
from pathlib import Path
from typing import Any

MOST_MEMORY = 4 << 30
"""A child that writes to more is ended [bytes]."""


def in_child(act: Callable[[], Any], *, cpu: float) -> Any | None:
    """What `act` returns in a child of this process; none when the child does not live to tell.

    Parameters
    ----------
    act
        Called in the child, which prints nothing. What it returns can be pickled.
    cpu
        Processor time that the child gets [s]; waiting, it gets ten times as much.
    """
    reading, writing = os.pipe()
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # that a process with threads is forked: here it has none
        child = os.fork()
    if child == 0:
        os.close(reading)
        _live(act, writing, cpu)
    os.close(writing)
    try:
        return _heard(reading, until=time.monotonic() + 10 * cpu)
    finally:
        os.close(reading)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)


def _live(act: Callable[[], Any], writing: int, cpu: float) -> None:
    """Act, tell, and end without the parent's clearing up."""
    status = 1
    try:
        quiet = os.open(os.devnull, os.O_WRONLY)
        os.dup2(quiet, 1)
        os.dup2(quiet, 2)
        resource.setrlimit(resource.RLIMIT_CPU, (int(cpu), int(cpu) + 1))
        resource.setrlimit(resource.RLIMIT_DATA, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        told = pickle.dumps(act())
        with os.fdopen(writing, "wb") as pipe:
            pipe.write(told)
        status = 0
    finally:
        os._exit(status)


def _heard(reading: int, *, until: float) -> Any | None:
    """What comes through the pipe until it is closed; none when it is cut short or late."""
    told = bytearray()
    with selectors.DefaultSelector() as selector:
        selector.register(reading, selectors.EVENT_READ)
        while selector.select(max(until - time.monotonic(), 0.0)):
            part = os.read(reading, 1 << 20)
            if not part:
                return pickle.loads(told) if told else None  # noqa: S301 - from our own child
            told += part
    return None


def folder_for_children() -> Path:
    """A folder of its own, kept between runs and out of version control."""
    folder = Path.cwd() / ".mutants"
    folder.mkdir(exist_ok=True)
    (folder / ".gitignore").write_text("*\n", encoding="utf-8")
    return folder
