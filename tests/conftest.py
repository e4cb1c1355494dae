"""Flags of the run; no deadlines; one thread for products of matrices, for tests fill the cores."""

import gc
import os
import shutil
import signal
import sys
import tempfile
from collections.abc import Generator, Iterator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

from optioneer.valuation.cache.memory import MEMORY

for library in ("OPENBLAS", "MKL", "OMP"):
    os.environ.setdefault(f"{library}_NUM_THREADS", "1")

os.environ.setdefault("OPTIONEER_CACHE", "off")

# Whatever is saved is forced to the disk before it counts; tests, which save all the time, write
# to a disk in memory where there is one with room.
IN_MEMORY, ROOM = Path("/dev/shm"), 1 << 30  # noqa: S108 - what is put there is pytest's own
if os.access(IN_MEMORY, os.W_OK) and shutil.disk_usage(IN_MEMORY).free >= ROOM:
    os.environ.setdefault("TMPDIR", str(IN_MEMORY))
    tempfile.tempdir = None  # pytest has asked already, to catch what is written

# What tests start reads what was compiled once, instead of compiling it again each time.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False  # so do tests that are read again

# A shell that starts a run in the background has it ignore Ctrl-C, and what tests start with it.
if signal.getsignal(signal.SIGINT) is signal.SIG_IGN:
    signal.signal(signal.SIGINT, signal.default_int_handler)

settings.register_profile(
    "any-machine",
    deadline=None,
    max_examples=100,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.load_profile("any-machine")


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--rewrite-golden",
        action="store_true",
        help="rewrite the golden texts from what the faces say now; read the diff before commit",
    )


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is imported and collected stays to the end: nobody looks through it for garbage."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.set_threshold(2000, 20, 20)  # what refers to itself is rare here
        gc.enable()


@pytest.fixture(scope="module", autouse=True)
def nothing_kept_from_other_files() -> None:
    """What tests of one file work out is kept for its others, and for no other file."""
    MEMORY.forget()


@pytest.fixture(autouse=True)
def nothing_kept_of_changed_code(request: pytest.FixtureRequest) -> Iterator[None]:
    """A test that changes the code works everything out itself, and leaves nothing behind."""
    changes = "monkeypatch" in request.fixturenames
    if changes:
        MEMORY.forget()
    yield
    MEMORY.beyond = None
    if changes:
        MEMORY.forget()
