"""Saving without loss: faults at every write point, a full disk, remains of a killed process."""

import json
import os
import resource
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import read_case
from optioneer.files.case.write import write_case
from optioneer.files.plain.atomic import MARK, PREFIX, settle, write_files_atomically
from tests.files.folders import starter

POINTS: list[tuple[Any, str]] = [
    (tempfile, "mkstemp"),
    (Path, "open"),
    (os, "fsync"),
    (Path, "chmod"),
    (Path, "replace"),
]
OLD, NEW = {"a": b"old a", "b": b"old b"}, {"a": b"new a", "b": b"new b"}


def failing_at(call: int, really: Callable[..., Any]) -> Callable[..., Any]:
    """A function that fails as a full disk does at its n-th call."""
    calls = iter(range(1, 1000))

    def maybe(*arguments: Any, **more: Any) -> Any:
        if next(calls) == call:
            raise OSError(28, "No space left on device")
        return really(*arguments, **more)

    return maybe


@pytest.mark.parametrize("call", [1, 2])
@pytest.mark.parametrize(("owner", "name"), POINTS)
def test_a_fault_at_any_write_point_leaves_the_old_files_or_the_new_ones(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, owner: Any, name: str, call: int
) -> None:
    write_files_atomically(tmp_path, OLD)
    with monkeypatch.context() as patch:
        patch.setattr(owner, name, failing_at(call, getattr(owner, name)))
        with pytest.raises(RequestError, match="No space left on device"):
            write_files_atomically(tmp_path, NEW)
    settle(tmp_path)
    found = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    # The first rename puts up the list of the others: from then on the new files count.
    assert found == (NEW if (name, call) == ("replace", 2) else OLD)


def test_a_list_of_renames_that_reaches_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inside = tmp_path / "case"
    inside.mkdir()
    (inside / f"{PREFIX}x").write_bytes(b"x")
    for name in ("../stolen", "/stolen", "", "sub/stolen"):
        (inside / MARK).write_text(json.dumps([[f"{PREFIX}x", name]]), encoding="utf-8")
        with pytest.raises(RequestError, match="take it away"):
            settle(inside)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["case"]


def test_files_set_aside_and_files_replaced_go_together(tmp_path: Path) -> None:
    write_files_atomically(tmp_path, OLD)
    write_files_atomically(tmp_path, {"a": b"new a"}, aside=["b"])
    found = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    assert found == {"a": b"new a", "b.old": b"old b"}


def test_a_full_disk_leaves_the_old_case_whole(tmp_path: Path) -> None:
    """A real limit on the size of files, in a process of its own."""
    folder = starter(tmp_path)
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    script = (
        "import sys; from pathlib import Path\n"
        "from optioneer.errors import RequestError\n"
        "from optioneer.files.case.read import read_case\n"
        "from optioneer.files.case.write import write_case\n"
        "folder = Path(sys.argv[1]); case = read_case(folder)\n"
        "growth = case.growth.model_copy(update={'seed': 8})\n"
        "try: write_case(case.model_copy(update={'growth': growth}), folder)\n"
        "except RequestError as error: sys.exit(str(error))\n"
    )

    def limited() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (1000, 1000))

    done = subprocess.run(
        [sys.executable, "-B", "-c", script, str(folder)],
        preexec_fn=limited,  # one thread, and the limit must hold in the child alone
        capture_output=True,
        text=True,
        check=False,
    )
    assert "File too large" in done.stderr
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_what_a_killed_process_left_is_swept_and_what_a_live_one_writes_is_not(
    tmp_path: Path,
) -> None:
    old, young = tmp_path / f"{PREFIX}old", tmp_path / f"{PREFIX}young"
    old.touch()
    young.touch()
    os.utime(old, (time.time() - 7200,) * 2)
    write_files_atomically(tmp_path, OLD)
    assert sorted(path.name for path in tmp_path.iterdir()) == [young.name, "a", "b"]


def test_permissions_stay(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "growth.toml").chmod(0o640)
    case = read_case(folder)
    growth = case.growth.model_copy(update={"seed": 8})
    write_case(case.model_copy(update={"growth": growth}), folder)
    assert (folder / "growth.toml").stat().st_mode & 0o777 == 0o640


def test_a_link_inside_the_folder_stays_a_link(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    (folder / "growth.toml").rename(folder / "growth-2.toml")
    (folder / "growth.toml").symlink_to("growth-2.toml")
    case = read_case(folder)
    growth = case.growth.model_copy(update={"seed": 8})
    write_case(case.model_copy(update={"growth": growth}), folder)
    assert (folder / "growth.toml").is_symlink()
    assert read_case(folder).growth.seed == 8
