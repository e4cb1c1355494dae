"""Writing a text file in one step."""

import os
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.plain.atomic import write_text_atomically


def test_writes_utf8_with_line_feeds(tmp_path: Path) -> None:
    target = tmp_path / "answer.json"
    write_text_atomically(target, "8 µm\n")
    assert target.read_bytes() == b"8 \xc2\xb5m\n"


def test_a_failure_before_the_rename_leaves_the_old_text_and_no_litter(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    target = tmp_path / "answer.json"
    target.write_text("old", encoding="utf-8")

    def full_disk(_: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(RequestError, match="No space left on device"):
        write_text_atomically(target, "new")
    assert [(file.name, file.read_text()) for file in tmp_path.iterdir()] == [
        ("answer.json", "old")
    ]


def test_a_missing_folder_is_the_users_mistake(tmp_path: Path) -> None:
    with pytest.raises(RequestError, match=r"nowhere.answer\.json: cannot be written"):
        write_text_atomically(tmp_path / "nowhere" / "answer.json", "new")


def test_permissions_and_links_are_kept(tmp_path: Path) -> None:
    target = tmp_path / "answer.json"
    target.write_text("old", encoding="utf-8")
    target.chmod(0o640)
    link = tmp_path / "link.json"
    link.symlink_to(target)
    write_text_atomically(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"
    assert target.stat().st_mode & 0o777 == 0o640


def test_a_device_is_written_to_and_not_replaced() -> None:
    write_text_atomically(Path(os.devnull), "new")
    assert not Path(os.devnull).is_file()
