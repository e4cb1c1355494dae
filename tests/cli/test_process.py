"""The command as a process of its own: start, pipes, terminals."""

import gc
import os
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from optioneer.cli.progress import progress_bar
from optioneer.study.problem import cores
from tests.patience import PATIENCE

HEAVY = ("numpy", "scipy", "pydantic", "rich", "babel", "tomlkit")
FAKES = """
import sys, time
import tests.cli.fakes as made
sys.modules["optioneer.files.case.read"] = made.module("r", reading=made.reading)
def advice(request, *, progress, pool=None):
    for step in range(int({seconds} * 10)):
        time.sleep(0.1)
        progress(step / ({seconds} * 10))
    return made.shop.advice()
sys.modules["optioneer.study.advice.advice"] = made.module("a", advice=advice)
from optioneer.cli import main
main()
"""


def python(code: str, *arguments: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-c", code, *arguments],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        timeout=PATIENCE,
    )


@pytest.mark.parametrize("module", ["optioneer", "optioneer.cli"])
def test_importing_loads_nothing_heavy(module: str) -> None:
    told = python(f"import sys, {module}; print(*sys.modules)").stdout.split()
    assert module in told
    assert [name for name in HEAVY if name in told] == []


def test_help_answers_and_loads_nothing_heavy() -> None:
    told = python("import sys; sys.argv[1:] = ['--help']; import optioneer.cli as c; c.main()")
    assert "advise" in told.stdout
    assert told.returncode == 0


def test_the_version_is_told() -> None:
    told = python("import optioneer.cli as c; c.main()", "--version")
    assert told.stdout.startswith("optioneer ")
    assert told.returncode == 0


def test_a_reader_that_leaves_early_is_no_error() -> None:
    code = FAKES.format(seconds=0)
    reading, writing = os.pipe()
    os.close(reading)  # nobody reads
    process = subprocess.run(
        [sys.executable, "-c", code, "advise", "shop"],
        stdout=writing,
        stderr=subprocess.PIPE,
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        check=False,
        timeout=PATIENCE,
    )
    os.close(writing)
    assert process.stderr == b""
    assert process.returncode == 141


@pytest.mark.skipif(sys.platform == "win32", reason="pseudo-terminals are a matter of POSIX")
@pytest.mark.parametrize(
    ("setting", "styled", "seconds", "shown"),
    [({}, True, 0, False), ({"NO_COLOR": "1"}, False, 1.6, True)],
)
def test_a_terminal_gets_styles_unless_it_declines_and_a_bar_only_when_work_lasts(
    setting: dict[str, str],
    styled: bool,  # noqa: FBT001 - a row of the table above
    seconds: float,
    shown: bool,  # noqa: FBT001 - a row of the table above
) -> None:
    told, beside = on_terminals(FAKES.format(seconds=seconds), setting)
    assert "Order" in told
    assert ("\x1b[" in told) == styled
    assert ("Weighing the packages" in beside) == shown


def on_terminals(code: str, setting: dict[str, str]) -> tuple[str, str]:
    """What a process writes to standard output and to standard error when both are terminals."""
    import pty  # noqa: PLC0415 - only on POSIX

    environment = {k: v for k, v in os.environ.items() if k not in {"NO_COLOR", "TERM"}}
    (leader, out), (other, err) = pty.openpty(), pty.openpty()
    with (
        subprocess.Popen(
            [sys.executable, "-c", code, "advise", "shop"],
            env={**environment, "TERM": "xterm", "PYTHONPATH": os.pathsep.join(sys.path)} | setting,
            stdout=out,
            stderr=err,
        ),
        ThreadPoolExecutor(2) as readers,
    ):
        os.close(out)
        os.close(err)
        told, beside = (b"".join(one) for one in readers.map(_chunks, (leader, other)))
    os.close(leader)
    os.close(other)
    return told.decode("utf-8", "replace"), beside.decode("utf-8", "replace")


def _chunks(leader: int) -> list[bytes]:
    found: list[bytes] = []
    while True:
        try:
            chunk = os.read(leader, 65536)
        except OSError:  # how Linux says that the other end is closed
            return found
        if not chunk:
            return found
        found.append(chunk)


def test_memory_is_held_in_a_process_that_ends_with_its_command_and_in_no_other(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    held = list[bool]()
    monkeypatch.setattr(cores, "hold_memory", lambda: held.append(gc.isenabled()))
    with progress_bar("Weighing"):
        assert held == []
    gc.disable()  # as the way in does
    with progress_bar("Weighing"):
        assert held == [False]
        assert gc.isenabled()
