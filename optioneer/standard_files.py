"""Standard files, which may be closed or full; nothing here takes time to import."""

import os
import sys

INTERRUPTED = 130
"""128 + SIGINT, what a shell reports of a command stopped by Ctrl-C."""


def hold() -> None:
    """Keep the numbers of closed standard files from being given to files that are opened later."""
    for number in range(3):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # the lowest number that is free: this one


def flush() -> None:
    """Have what was said leave the process.

    Raises
    ------
    OSError
        Standard output cannot take it.
    """
    if sys.stdout is not None:
        sys.stdout.flush()


def let_go() -> None:
    """Let what standard output still holds back go nowhere, so that it fails no second time."""
    if sys.stdout is not None:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def say(sentence: str) -> None:
    """One line on standard error, if there is one."""
    if sys.stderr is not None:
        sys.stderr.write(f"{sentence}\n")
