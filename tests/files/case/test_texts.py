"""The files of a case as texts: archives from strangers, and two people who save."""

import io
import zipfile
from pathlib import Path

import pytest

from optioneer.errors import CaseError, RequestError
from optioneer.files.case import texts
from optioneer.files.case.starter import write_starter
from optioneer.files.case.texts import (
    archive,
    archive_texts,
    fingerprint,
    folder_fingerprint,
    folder_texts,
    save_texts,
    spoken_name,
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_starter(tmp_path / "mill")
    return tmp_path / "mill"


def packed(members: dict[str, bytes]) -> bytes:
    held = io.BytesIO()
    with zipfile.ZipFile(held, "w", zipfile.ZIP_DEFLATED) as file:
        for name, data in members.items():
            file.writestr(name, data)
    return held.getvalue()


def test_what_goes_into_an_archive_comes_out(folder: Path) -> None:
    found = folder_texts(folder)
    assert archive_texts(archive(found)) == found
    assert archive(found) == archive(dict(reversed(found.items())))


def test_a_case_in_a_folder_of_the_archive_is_found() -> None:
    data = packed({"my case/machine.toml": b"a", "my case/notes.pdf": b"%PDF", "x/": b""})
    assert archive_texts(data) == {"machine.toml": "a"}


@pytest.mark.parametrize(
    "name", ["../machine.toml", "/etc/machine.toml", "a/../../machine.toml", "C:\\machine.toml"]
)
def test_names_that_lead_out_of_the_archive_are_refused(name: str) -> None:
    with pytest.raises(RequestError, match="leads out"):
        archive_texts(packed({"machine.toml": b"a", name: b"b"}))


def test_a_bomb_is_not_opened() -> None:
    with pytest.raises(RequestError, match="would unpack to"):
        archive_texts(packed({"machine.toml": b"0" * 30_000_000}))


def test_too_many_files_are_refused() -> None:
    with pytest.raises(RequestError, match="holds 300 files"):
        archive_texts(packed({f"{number}.txt": b"" for number in range(300)}))


def test_two_cases_in_one_archive_are_refused() -> None:
    with pytest.raises(RequestError, match=r"several files machine\.toml"):
        archive_texts(packed({"a/machine.toml": b"a", "b/machine.toml": b"b"}))


@pytest.mark.parametrize(
    "data",
    [b"", b"PK\3\4", b"no archive", packed({"a": b"b"})[:-10]],
    ids=["nothing", "a mark", "text", "cut short"],
)
def test_what_is_no_archive_is_said_to_be_none(data: bytes) -> None:
    with pytest.raises(RequestError, match="no zip archive"):
        archive_texts(data)


@pytest.mark.parametrize(("data", "what"), [(b"\xff\xfea", "not UTF-8"), (b"a\0b", "NUL byte")])
def test_what_is_no_text_is_refused(data: bytes, what: str) -> None:
    with pytest.raises(RequestError, match=what):
        archive_texts(packed({"machine.toml": data}))


def test_an_archive_without_a_case_is_refused() -> None:
    with pytest.raises(RequestError, match="holds no case"):
        archive_texts(packed({"notes.txt": b"a"}))


def test_an_archive_that_is_too_long_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(texts, "LARGEST_ARCHIVE", 10)
    with pytest.raises(RequestError, match="bytes long"):
        archive_texts(packed({"machine.toml": b"a"}))


def test_saving_writes_what_was_changed_and_says_so_by_its_fingerprint(folder: Path) -> None:
    found = folder_texts(folder)
    new = {**found, "machine.toml": found["machine.toml"] + "# seen\n"}
    save_texts(new, folder, opened=fingerprint(found))
    assert folder_fingerprint(folder) == fingerprint(new)


def test_the_second_of_two_who_save_is_told_and_writes_nothing(folder: Path) -> None:
    opened = folder_fingerprint(folder)
    found = folder_texts(folder)
    save_texts({**found, "growth.toml": "# first\n"}, folder, opened=opened)
    first = folder_fingerprint(folder)
    with pytest.raises(RequestError, match="somebody else has changed this case"):
        save_texts({**found, "growth.toml": "# second\n"}, folder, opened=opened)
    assert folder_fingerprint(folder) == first


def test_a_file_that_is_no_longer_wanted_is_set_aside(folder: Path) -> None:
    found = folder_texts(folder)
    less = {name: text for name, text in found.items() if name != "site.toml"}
    save_texts(less, folder, opened=fingerprint(found))
    assert not (folder / "site.toml").exists()
    assert (folder / "site.toml.old").read_text(encoding="utf-8") == found["site.toml"]


def test_a_new_folder_is_made(tmp_path: Path) -> None:
    save_texts({"machine.toml": "a"}, tmp_path / "new" / "mill", opened="")
    assert folder_texts(tmp_path / "new" / "mill") == {"machine.toml": "a"}


def test_a_folder_that_holds_no_case_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CaseError, match="holds no file of a case"):
        folder_texts(tmp_path)


def test_a_link_out_of_the_folder_is_not_followed(folder: Path, tmp_path: Path) -> None:
    (tmp_path / "secret").write_text("key", encoding="utf-8")
    (folder / "site.toml").unlink()
    (folder / "site.toml").symlink_to(tmp_path / "secret")
    with pytest.raises(CaseError, match="link out of the case folder"):
        folder_texts(folder)


def test_a_byte_order_mark_stays(folder: Path) -> None:
    text = (folder / "options.csv").read_text(encoding="utf-8")
    (folder / "options.csv").write_text("\N{ZERO WIDTH NO-BREAK SPACE}" + text, encoding="utf-8")
    assert folder_texts(folder)["options.csv"].startswith("\N{ZERO WIDTH NO-BREAK SPACE}")


@pytest.mark.parametrize(
    ("told", "name"),
    [
        ("../../etc/passwd", "passwd"),
        ("C:\\\\temp\\\\mill.zip", "mill"),
        ("\u202egnp.zip", "gnp"),
        ("..", "case"),
        ("a" * 300, "a" * 100),
    ],
)
def test_the_name_of_an_upload_is_only_ever_spoken(told: str, name: str) -> None:
    assert spoken_name(told, "case") == name
