"""Drafts on disk: nothing typed is lost, nobody guesses another's."""

import os
import threading
import time
from pathlib import Path
from typing import Any

import pytest

from optioneer.app.engine.drafts import MOST_UNDONE, Draft, Store, new_draft, state_folder

TEXTS = {"machine.toml": "a = 1\n", "options.csv": "option\n"}


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store(tmp_path / "drafts")


def changed(draft: Draft, text: str) -> Draft:
    return draft.with_texts({**draft.texts, "machine.toml": text})


def test_a_draft_comes_back_as_it_was_put(store: Store, tmp_path: Path) -> None:
    draft = changed(new_draft("mill", TEXTS, folder=tmp_path), "a = \u20ac\n")
    store.put(draft)
    assert store.get(draft.id) == draft


def test_a_new_draft_has_nothing_unsaved_and_a_changed_one_names_the_file() -> None:
    draft = new_draft("mill", TEXTS)
    assert not draft.unsaved
    assert changed(draft, "b").changed_files == {"machine.toml"}
    assert not changed(draft, "b").marked_saved().unsaved


def test_a_file_taken_away_is_a_change() -> None:
    draft = new_draft("mill", TEXTS).with_texts({"machine.toml": "a = 1\n"})
    assert draft.changed_files == {"options.csv"}


def test_a_file_that_came_goes_again_by_undo() -> None:
    draft = new_draft("mill", TEXTS).with_texts({**TEXTS, "site.toml": "b"})
    assert draft.undone() == new_draft_like(draft)


def new_draft_like(draft: Draft) -> Draft:
    return Draft(draft.id, draft.name, TEXTS, draft.saved)


def test_undo_goes_back_step_by_step_and_stops_at_the_start() -> None:
    first = new_draft("mill", TEXTS)
    third = changed(changed(first, "b"), "c")
    assert third.undone().texts["machine.toml"] == "b"
    assert third.undone().undone().undone() == first


def test_the_same_text_again_is_no_step() -> None:
    draft = new_draft("mill", TEXTS)
    assert draft.with_texts(dict(TEXTS)) is draft


def test_so_many_steps_can_be_undone_and_no_more() -> None:
    draft = new_draft("mill", TEXTS)
    for number in range(MOST_UNDONE + 5):
        draft = changed(draft, str(number))
    assert len(draft.undo) == MOST_UNDONE
    for number in reversed(range(4, MOST_UNDONE + 4)):
        draft = draft.undone()
        assert draft.texts["machine.toml"] == str(number)
    assert draft.undone() is draft


def test_only_drafts_with_unsaved_changes_are_offered_the_latest_first(store: Store) -> None:
    store.put(new_draft("saved", TEXTS))
    one, two = changed(new_draft("one", TEXTS), "b"), changed(new_draft("two", TEXTS), "b")
    store.put(one)
    store.put(two)
    assert {kept.name for kept in store.unsaved_drafts()} == {"one", "two"}


@pytest.mark.parametrize(
    "name", ["../../etc/passwd", "", "a" * 20 + "/x", "..", "a.json", "x" * 100, "\0" * 20]
)
def test_an_id_that_is_none_of_ours_opens_nothing(store: Store, name: str) -> None:
    assert store.get(name) is None
    store.drop(name)


def test_a_damaged_draft_is_passed_over(store: Store) -> None:
    draft = changed(new_draft("mill", TEXTS), "b")
    store.put(draft)
    (store.folder / f"{draft.id}.json").write_text('{"name": 1', encoding="utf-8")
    assert store.get(draft.id) is None
    assert store.unsaved_drafts() == ()


def test_of_two_windows_that_change_a_draft_at_once_one_is_taken_and_one_is_told(
    store: Store, monkeypatch: pytest.MonkeyPatch
) -> None:
    really = Store.get

    def slowly(self: Store, name: str) -> Draft | None:
        found = really(self, name)
        time.sleep(0.008)  # the other one comes in between
        return found

    monkeypatch.setattr(Store, "get", slowly)
    for _ in range(20):
        draft, told = new_draft("mill", TEXTS), list[Draft | None]()
        store.put(draft)
        start = threading.Barrier(2)

        def edit(text: str, draft: Draft, told: list[Draft | None], start: Any) -> None:
            start.wait()
            told.append(store.exchange(changed(draft, text), seen=draft))

        windows = [
            threading.Thread(target=edit, args=(text, draft, told, start)) for text in ("b", "c")
        ]
        for each in windows:
            each.start()
        for each in windows:
            each.join()
        assert sorted(theirs is None for theirs in told) == [False, True]
        (theirs,) = (each for each in told if each is not None)
        assert theirs == really(store, draft.id)


def test_a_draft_that_another_window_changed_is_handed_back_and_stays(store: Store) -> None:
    draft = new_draft("mill", TEXTS)
    store.put(draft)
    assert store.exchange(changed(draft, "b"), seen=draft) is None
    assert store.exchange(changed(draft, "c"), seen=draft) == changed(draft, "b")
    assert store.get(draft.id) == changed(draft, "b")
    assert [path.suffix for path in store.folder.iterdir()] == [".json"]


def test_what_a_killed_process_left_among_the_drafts_is_swept(store: Store) -> None:
    draft = changed(new_draft("mill", TEXTS), "b")
    store.put(draft)
    left = [store.folder / f".optioneer-{name}" for name in ("abcdefgh", f"{draft.id}-lock")]
    for path in left:
        path.touch()
        os.utime(path, (time.time() - 7200,) * 2)
    young = store.folder / ".optioneer-hgfedcba"
    young.touch()
    assert [kept.id for kept in store.unsaved_drafts()] == [draft.id]
    assert [path.exists() for path in (*left, young)] == [False, False, True]


def test_two_drafts_never_share_an_id() -> None:
    assert len({new_draft("mill", TEXTS).id for _ in range(200)}) == 200


def test_where_drafts_are_kept_can_be_told(tmp_path: Path) -> None:
    assert state_folder({"OPTIONEER_STATE": str(tmp_path)}) == tmp_path
    assert state_folder({"XDG_STATE_HOME": str(tmp_path)}).name == "optioneer"
