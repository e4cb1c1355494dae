"""Several who write and read one case at once: no acknowledged save is lost, no reading is mixed.

A few hundred acts here; ``tests/bench/test_interleaving.py`` does 2,000 and more.
"""

import os
import threading
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import read_case, reading
from optioneer.files.case.texts import fingerprint, folder_texts, save_texts
from optioneer.files.case.write import write_case
from optioneer.files.plain import lock
from optioneer.files.plain.lock import NAME, locked
from optioneer.files.saving import commit, folder_state
from optioneer.files.saving.commit import settle
from tests.files.folders import starter
from tests.files.saving.interleaving import interleaved


@pytest.mark.skipif(not hasattr(os, "fork"), reason="children are forked")
def test_of_interleaved_writers_and_readers_none_is_lost_and_none_sees_a_mixture(
    tmp_path: Path,
) -> None:
    saved, _, read = interleaved(tmp_path, writers=3, readers=2, acts=300, seed=18)
    assert saved > 0
    assert read == 300


def test_of_two_threads_that_save_at_once_one_is_told(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    opened, start = folder_texts(folder), threading.Barrier(2)
    told: list[str] = []

    def save(word: str) -> None:
        start.wait()
        try:
            new = {name: f"{text}# {word}\n" for name, text in opened.items()}
            save_texts(new, folder, opened=fingerprint(opened))
        except RequestError:
            told.append(word)

    both = [threading.Thread(target=save, args=(word,)) for word in ("one", "two")]
    for each in both:
        each.start()
    for each in both:
        each.join()
    assert len(told) == 1
    assert all(told[0] not in text[-6:] for text in folder_texts(folder).values())


def test_prices_taken_in_do_not_overwrite_what_was_saved_meanwhile(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    read = reading(folder)
    theirs = {name: f"{text}# theirs\n" for name, text in read.texts.items()}
    save_texts(theirs, folder, opened=fingerprint(read.texts))
    machine = read.case.machine.model_copy(update={"base_price": 999_000.0})
    with pytest.raises(RequestError, match="somebody else has changed this case"):
        write_case(
            read.case.model_copy(update={"machine": machine}),
            folder,
            opened=fingerprint(read.texts),
        )
    assert folder_texts(folder) == theirs


def test_a_lock_is_had_by_one_and_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(lock, "PATIENCE", 0.05)
    found: list[BaseException] = []

    def other() -> None:
        try:
            with locked(tmp_path):
                pass
        except RequestError as error:
            found.append(error)

    with locked(tmp_path), locked(tmp_path):  # who has it goes on having it
        thread = threading.Thread(target=other)
        thread.start()
        thread.join()
        assert (tmp_path / NAME).exists()
    assert ["another process is writing there" in str(error) for error in found] == [True]
    assert list(tmp_path.iterdir()) == []
    other()
    assert len(found) == 1


def test_a_lock_of_another_process_is_respected(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")
    monkeypatch.setattr(lock, "PATIENCE", 0.05)
    with (tmp_path / NAME).open("w", encoding="utf-8") as theirs:
        fcntl.flock(theirs, fcntl.LOCK_EX)
        with pytest.raises(RequestError, match="another process"), locked(tmp_path):
            pass
    with locked(tmp_path):
        pass


def test_where_files_cannot_be_locked_one_that_only_one_can_make_does_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    fcntl = pytest.importorskip("fcntl")

    def no_locks(*_: object) -> None:
        raise OSError(37, "No locks available")

    monkeypatch.setattr(fcntl, "flock", no_locks)
    monkeypatch.setattr(lock, "PATIENCE", 0.05)
    with locked(tmp_path):
        held = tmp_path / f"{NAME}-held"
        assert held.exists()
    assert not held.exists()
    held.touch()
    with pytest.raises(RequestError, match="another process"), locked(tmp_path):
        pass
    long_ago = held.stat().st_mtime - 2 * lock.STALE
    os.utime(held, (long_ago, long_ago))
    with locked(tmp_path):
        pass


def test_a_case_that_cannot_be_locked_is_read_all_the_same(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = starter(tmp_path)
    case = read_case(folder)

    def no_lock(*_: object, **__: object) -> None:
        raise RequestError("cannot be locked")

    monkeypatch.setattr(lock, "_release_once_free", no_lock)
    assert read_case(folder) == case
    with pytest.raises(RequestError, match="cannot be locked"):
        write_case(case, folder)


def test_who_cannot_lock_and_looks_into_a_save_looks_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Another user saves while this one, who may only read, is looking at the list."""
    folder = starter(tmp_path)
    old = folder_texts(folder)
    new = {name: f"{text}# new\n" for name, text in old.items()}
    really, looks = commit.hidden, []

    def hidden(where: Path) -> dict[str, str | None]:
        looks.append(where)
        if len(looks) == 1:  # the list stands, then the other one finishes
            with monkeypatch.context() as patch:
                patch.setattr(lock, "_release_once_free", taken)
                settle(where)
            raise RequestError("the files do not bear the list out")
        return really(where)

    def no_lock(*_: object, **__: object) -> None:
        raise RequestError("cannot be locked")

    def stops(*_: object) -> None:
        raise RequestError("stopped")

    with monkeypatch.context() as patch:
        patch.setattr(commit, "_finish", stops)
        with pytest.raises(RequestError, match="stopped"):
            save_texts(new, folder, opened=fingerprint(old))
    taken = lock._release_once_free
    monkeypatch.setattr(lock, "_release_once_free", no_lock)
    monkeypatch.setattr(folder_state, "hidden", hidden)
    assert folder_texts(folder) == new
    assert len(looks) == 1
