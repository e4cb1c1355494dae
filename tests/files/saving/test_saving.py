"""Saving without loss: faults at every write point, a full disk, remains of a killed process."""

import errno
import hashlib
import json
import os
import resource
import signal
import stat
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import FILES, read_case
from optioneer.files.case.texts import folder_fingerprint, folder_texts, save_texts
from optioneer.files.case.write import write_case
from optioneer.files.plain.atomic import MARK, PREFIX
from optioneer.files.saving.commit import NAMES, settle, write_files_atomically
from tests.files.folders import contents, read_only, starter

OLD = {"machine.toml": b"old a", "growth.toml": b"old b"}
NEW = {"machine.toml": b"new a", "growth.toml": b"new b"}


def hashed(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


def listed(folder: Path, *steps: tuple[str, str, str, str | None]) -> None:
    """Put up a list of renames: source, target, hash of the new, hash of the old."""
    (folder / MARK).write_text(json.dumps({"renames": steps}), encoding="utf-8")


def stopped_before_the_renames(folder: Path) -> None:
    """What a process leaves that was killed once its list stood."""
    for name, data in OLD.items():
        (folder / name).write_bytes(data)
    steps = []
    for number, (name, data) in enumerate(NEW.items()):
        staged = f"{PREFIX}abcdefg{number}"
        (folder / staged).write_bytes(data)
        steps.append((staged, name, hashed(data), hashed(OLD[name])))
    listed(folder, *steps)


def failing(number: int) -> Callable[..., Any]:
    def fails(*_: Any, **__: Any) -> Any:
        raise OSError(number, os.strerror(number))

    return fails


def test_once_the_list_stands_the_next_who_comes_finishes_it(tmp_path: Path) -> None:
    stopped_before_the_renames(tmp_path)
    settle(tmp_path)
    assert contents(tmp_path) == NEW


def test_half_of_the_renames_are_finished_too(tmp_path: Path) -> None:
    stopped_before_the_renames(tmp_path)
    (tmp_path / f"{PREFIX}abcdefg0").replace(tmp_path / "machine.toml")
    settle(tmp_path)
    assert contents(tmp_path) == NEW


@pytest.mark.parametrize("number", [errno.EINVAL, errno.ENOTSUP, errno.EACCES])
def test_folders_that_cannot_be_forced_to_the_disk_can_be_saved_into(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    write_files_atomically(tmp_path, OLD)
    really = os.fsync

    def unless_folder(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(number, os.strerror(number))
        really(handle)

    monkeypatch.setattr(os, "fsync", unless_folder)
    write_files_atomically(tmp_path, NEW)
    assert contents(tmp_path) == NEW


def test_a_folder_that_is_not_confirmed_is_told_and_the_new_files_count(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = starter(tmp_path)
    texts = {name: f"{text}# new\n" for name, text in folder_texts(folder).items()}
    really = os.fsync

    def unless_folder(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EIO, os.strerror(errno.EIO))
        really(handle)

    with monkeypatch.context() as patch:
        patch.setattr(os, "fsync", unless_folder)
        with pytest.raises(RequestError, match="the disk does not confirm"):
            save_texts(texts, folder, opened=folder_fingerprint(folder))
        assert folder_texts(folder) == texts
    assert folder_texts(folder) == texts
    assert not (folder / MARK).exists()


def test_ctrl_c_once_the_list_stands_is_no_way_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_files_atomically(tmp_path, OLD)
    really, calls = os.replace, iter(range(9))

    def stopped(old: Any, new: Any) -> None:
        if next(calls) == 1:  # the list stands, no file is in place yet
            raise KeyboardInterrupt
        really(old, new)

    monkeypatch.setattr(os, "replace", stopped)
    with pytest.raises(KeyboardInterrupt):
        write_files_atomically(tmp_path, NEW)
    assert contents(tmp_path) == NEW


def test_ctrl_c_while_the_files_are_put_in_place_waits_until_they_are(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_files_atomically(tmp_path, OLD)
    really, left = os.replace, []

    def pressed(old: Any, new: Any) -> None:
        really(old, new)
        signal.raise_signal(signal.SIGINT)
        left.append(str(new))

    monkeypatch.setattr(os, "replace", pressed)
    with pytest.raises(KeyboardInterrupt):
        write_files_atomically(tmp_path, NEW)
    assert len(left) == 3
    assert contents(tmp_path) == NEW


def test_where_the_list_cannot_be_finished_the_new_texts_are_read_where_they_stand(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """As in a folder on a disk that may only be read, received in the middle of a save."""
    stopped_before_the_renames(tmp_path)
    before = contents(tmp_path)
    read_only(monkeypatch)
    monkeypatch.setattr(os, "replace", failing(errno.EROFS))
    assert folder_texts(tmp_path) == {name: data.decode() for name, data in NEW.items()}
    assert contents(tmp_path) == before


@pytest.mark.parametrize(
    "step",
    [
        (f"{PREFIX}abcdefg0", "record.jsonl", hashed(b"new"), None),
        (f"{PREFIX}abcdefg0", "notes.txt", hashed(b"new"), None),
        ("notes.txt", "machine.toml", hashed(b"mine"), None),
        ("machine.toml", "growth.toml", hashed(b"old a"), hashed(b"old b")),
        ("growth.toml", "record.jsonl", hashed(b"old b"), None),
        (f"{PREFIX}abcdefg0", "machine.toml", hashed(b"other"), hashed(b"old a")),
        (f"{PREFIX}abcdefg0", "machine.toml", hashed(b"new"), hashed(b"other")),
        (f"{PREFIX}absent00", "machine.toml", hashed(b"new"), hashed(b"old a")),
        (f"{PREFIX}commit", "machine.toml", hashed(b"new"), hashed(b"old a")),
        (f"{PREFIX}abcdefg0", "machine.toml", 5, None),
    ],
)
def test_a_list_that_came_with_the_folder_is_not_obeyed(
    tmp_path: Path, step: tuple[str, str, str, str | None]
) -> None:
    for name, data in {**OLD, "record.jsonl": b"kept", "notes.txt": b"mine"}.items():
        (tmp_path / name).write_bytes(data)
    (tmp_path / f"{PREFIX}abcdefg0").write_bytes(b"new")
    listed(tmp_path, step)
    before = contents(tmp_path)
    with pytest.raises(RequestError, match=r"take (the list|it) away"):
        folder_texts(tmp_path)
    with pytest.raises(RequestError, match=r"take (the list|it) away"):
        save_texts({"machine.toml": "a"}, tmp_path, opened="")
    assert contents(tmp_path) == before


def test_a_link_does_not_lead_a_list_to_another_file(tmp_path: Path) -> None:
    (tmp_path / "record.jsonl").write_bytes(b"kept")
    (tmp_path / "machine.toml").symlink_to("record.jsonl")
    (tmp_path / f"{PREFIX}abcdefg0").write_bytes(b"new")
    listed(tmp_path, (f"{PREFIX}abcdefg0", "machine.toml", hashed(b"new"), hashed(b"kept")))
    with pytest.raises(RequestError, match="take the list away"):
        settle(tmp_path)
    assert (tmp_path / "record.jsonl").read_bytes() == b"kept"


def test_a_file_changed_by_hand_after_a_cut_save_is_not_overwritten(tmp_path: Path) -> None:
    stopped_before_the_renames(tmp_path)
    (tmp_path / "growth.toml").write_bytes(b"by hand")
    with pytest.raises(RequestError, match="take the list away"):
        settle(tmp_path)
    assert (tmp_path / "growth.toml").read_bytes() == b"by hand"


def test_a_list_of_renames_that_reaches_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    inside = tmp_path / "case"
    inside.mkdir()
    (inside / f"{PREFIX}abcdefg0").write_bytes(b"x")
    for name in ("../stolen", "/stolen", "", "sub/stolen", "../machine.toml", "/machine.toml"):
        listed(inside, (f"{PREFIX}abcdefg0", name, hashed(b"x"), None))
        with pytest.raises(RequestError, match="take the list away"):
            settle(inside)
    assert sorted(path.name for path in tmp_path.iterdir()) == ["case"]


def test_files_set_aside_and_files_replaced_go_together(tmp_path: Path) -> None:
    write_files_atomically(tmp_path, OLD)
    write_files_atomically(tmp_path, {"machine.toml": b"new a"}, aside=["growth.toml"])
    assert contents(tmp_path) == {"machine.toml": b"new a", "growth.toml.old": b"old b"}


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
    folder = tmp_path / f"{PREFIX}folder"  # of a case that was to be put in place
    folder.mkdir()
    (folder / "machine.toml").touch()
    lock = tmp_path / f"{PREFIX}d-lock"
    lock.touch()
    for path in (old, folder, lock):
        os.utime(path, (time.time() - 7200,) * 2)
    write_files_atomically(tmp_path, OLD)
    assert sorted(path.name for path in tmp_path.iterdir()) == [young.name, *sorted(OLD)]


def test_what_a_list_still_names_is_not_swept(tmp_path: Path) -> None:
    stopped_before_the_renames(tmp_path)
    for path in tmp_path.glob(f"{PREFIX}*"):
        os.utime(path, (time.time() - 7200,) * 2)
    write_files_atomically(tmp_path, {"paper.pdf": b"a"})
    settle(tmp_path)
    assert contents(tmp_path) == {**NEW, "paper.pdf": b"a"}


def test_files_of_a_case_are_the_ones_that_are_replaced_together() -> None:
    assert tuple(file.name for file in FILES) == NAMES


def test_a_folder_made_for_a_save_that_failed_is_taken_away(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "fsync", failing(errno.ENOSPC))
    with pytest.raises(RequestError, match="the old text is whole"):
        save_texts({"machine.toml": "a", "growth.toml": "b"}, tmp_path / "a" / "b", opened="")
    assert list(tmp_path.iterdir()) == []


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
