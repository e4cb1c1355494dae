"""The record of a case: one chain, only added to, and what was done to it is seen."""

import random
import shutil
from datetime import date
from pathlib import Path

import pytest

from optioneer.errors import RequestError
from optioneer.files.case.read import reading
from optioneer.files.record.chain import HEADER, NONE, links_of
from optioneer.files.record.entries import EARLIER, NAME, read_record, record
from optioneer.study.record.facts import Arrived, Fitted, PaidFact, Recorded, Withdrawn
from tests.files.folders import read_only, starter
from tests.files.saving.writing import sealed

PAID = PaidFact(date=date(2027, 3, 1), cents=-5_088_000, kind="contract", what="d\u00e9p\u00f4t")
FITTED = Fitted(date=date(2029, 5, 7), option="work-probe", cents=900_000, downtime_days=1.5)
CAME = Arrived(date=date(2028, 9, 1), stream="night", margin=31_000.5)
ALL = (sealed("one"), PAID, FITTED, sealed("two"), CAME)


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("written")
    for what in ALL:
        record(folder, what)
    return folder


@pytest.fixture
def folder(written: Path, tmp_path: Path) -> Path:
    shutil.copy(written / NAME, tmp_path / NAME)
    return tmp_path


def lines(folder: Path) -> list[bytes]:
    return (folder / NAME).read_bytes().splitlines(keepends=True)


def put(folder: Path, changed: list[bytes]) -> None:
    (folder / NAME).write_bytes(b"".join(changed))


def test_what_was_sealed_is_read_back_to_the_last_figure(folder: Path) -> None:
    found = read_record(folder)
    assert tuple(one.what for one in found.entries) == ALL
    assert [one.number for one in found.entries] == [1, 2, 3, 4, 5]
    assert list(found.decisions) == [1, 4]
    assert found.facts == (PAID, FITTED, CAME)
    assert found.damage == ()


def test_without_a_record_there_is_nothing_and_none_is_made(tmp_path: Path) -> None:
    assert read_record(tmp_path) == Recorded(heads=(NONE,))
    assert list(tmp_path.iterdir()) == []


def test_every_write_tells_the_length_and_the_head_that_a_reader_finds_too(tmp_path: Path) -> None:
    told = [record(tmp_path, what).head for what in ALL]
    assert [head.split("-")[0] for head in told] == ["1", "2", "3", "4", "5"]
    assert read_record(tmp_path).heads == (NONE, *told)
    assert read_record(tmp_path).head == told[-1]


@pytest.mark.parametrize("entry", range(1, 6))
def test_an_entry_that_was_changed_is_named_and_the_others_are_read(
    folder: Path, entry: int
) -> None:
    every = lines(folder)
    every[entry] = every[entry].replace(b'"before":"', b'"before":"0', 1)
    put(folder, every)
    found = read_record(folder)
    assert f"Line {entry + 1} was changed after it was sealed." in found.damage
    assert [one.number for one in found.entries] == [n for n in range(1, 6) if n != entry]


def test_a_fact_that_was_changed_is_found_out(folder: Path) -> None:
    data = (folder / NAME).read_bytes()
    (folder / NAME).write_bytes(data.replace(b"-5088000", b"-5088001"))
    found = read_record(folder)
    assert found.damage[0] == "Line 3 was changed after it was sealed."
    assert PAID not in found.facts


@pytest.mark.parametrize("entry", range(1, 5))
def test_an_entry_that_was_taken_out_is_found_out(folder: Path, entry: int) -> None:
    every = lines(folder)
    del every[entry]
    put(folder, every)
    assert f"entry {entry} is missing" in read_record(folder).damage[0]


def test_an_entry_that_was_put_in_is_found_out(folder: Path) -> None:
    every = lines(folder)
    put(folder, [*every[:3], every[2], *every[3:]])
    assert "Line 4 repeats entry 2" in read_record(folder).damage[0]
    assert len(read_record(folder).entries) == len(ALL)
    put(folder, [*every[:3], b"a word\n", *every[3:]])
    assert read_record(folder).damage[0] == "Line 4 cannot be read."


def test_an_entry_of_another_record_is_found_out(folder: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    record(other, CAME)
    record(other, CAME)
    every = lines(folder)
    every[2] = lines(other)[2]
    put(folder, every)
    assert "sealed after another entry" in read_record(folder).damage[0]


def test_a_tail_that_was_cut_is_seen_by_the_head_that_was_kept(folder: Path) -> None:
    """And by nothing else: the file alone cannot show it."""
    kept = read_record(folder).head
    put(folder, lines(folder)[:-1])
    found = read_record(folder)
    assert found.damage == ()
    assert kept not in found.heads


def test_a_record_written_anew_is_seen_by_the_head_that_was_kept(
    folder: Path, tmp_path: Path
) -> None:
    kept = read_record(folder).head
    anew = tmp_path / "anew"
    anew.mkdir()
    for what in (sealed("one"), PAID.model_copy(update={"cents": -5}), FITTED, sealed("two"), CAME):
        record(anew, what)
    found = read_record(anew)
    assert found.damage == ()
    assert len(found.heads) == len(ALL) + 1
    assert kept not in found.heads


@pytest.mark.parametrize("size", [0, 1, 20, len(HEADER), 400])
def test_a_file_that_was_cut_is_damage_and_nothing_is_written_over_it(
    folder: Path, size: int
) -> None:
    data = (folder / NAME).read_bytes()[:size]
    (folder / NAME).write_bytes(data)
    assert read_record(folder).damage
    with pytest.raises(RequestError, match="nothing is written over it"):
        record(folder, PAID)
    assert (folder / NAME).read_bytes() == data


def test_a_file_of_no_bytes_is_not_the_same_as_no_decision_yet(tmp_path: Path) -> None:
    (tmp_path / NAME).touch()
    assert read_record(tmp_path).damage == ("The file is empty: what was recorded is gone.",)


def test_any_1500_changes_of_bytes_are_named_and_never_read_as_something_else(folder: Path) -> None:
    whole = (folder / NAME).read_bytes()
    said = {one.number: one.what for one in read_record(folder).entries}
    before = links_of(whole)[0]
    chance = random.Random(18)  # noqa: S311 - changes of bytes
    for number in range(1500):
        data = bytearray(whole)
        for _ in range(chance.choice((1, 1, 1, 3, 20))):
            place, act = chance.randrange(len(data)), chance.randrange(4)
            if act == 0:
                data[place] = chance.randrange(256)
            elif act == 1:
                data[place] ^= 1 << chance.randrange(8)
            elif act == 2:
                del data[place : place + chance.choice((1, 5, 3000))]
            else:
                data[place:place] = data[place : place + chance.choice((1, 5, 3000))]
        links, damage = links_of(bytes(data))
        assert bool(damage) == (bytes(data) != whole)
        assert all(link in before for link in links)
        if number % 15 == 0:
            (folder / NAME).write_bytes(data)
            found = read_record(folder)
            assert all(said[one.number] == one.what for one in found.entries)
            assert len(found.entries) == len(links)


@pytest.mark.parametrize(
    "data",
    [
        b"[" * 100_000,
        b'{"number":' + b"9" * 5000 + b"}",
        b'{"seal":1}',
        b"[]",
        b"null",
        b'{"number":1,"before":"","kind":"paid","body":{"a":NaN},"seal":""}',
        b'{"number":true,"before":"","kind":"paid","body":{},"seal":""}',
        b'{"number":1,"before":"\\ud800","kind":"paid","body":{},"seal":""}',
        b"\xff\xfe",
        b"\0" * 50,
    ],
)
def test_lines_of_strangers_are_damage_and_no_traceback(tmp_path: Path, data: bytes) -> None:
    (tmp_path / NAME).write_bytes(HEADER.encode() + b"\n" + data + b"\n")
    assert "Line 2" in read_record(tmp_path).damage[0]


def test_an_entry_of_a_newer_program_is_named_and_the_rest_is_read(folder: Path) -> None:
    last = links_of((folder / NAME).read_bytes())[0][-1]
    newer = type(last)(number=6, before=last.seal, kind="sold", body={"cents": 5})
    put(folder, [*lines(folder), f"{newer.line}\n".encode()])
    found = read_record(folder)
    assert found.damage == ("Entry 6 is none that this version of the program knows.",)
    assert len(found.entries) == len(ALL)


def test_a_later_entry_takes_the_place_of_one_that_was_wrong_and_both_stay(folder: Path) -> None:
    right = PAID.model_copy(update={"cents": -508_800})
    record(folder, right, corrects=2)
    record(folder, Withdrawn(note="not yet"), corrects=5)
    found = read_record(folder)
    assert found.facts == (FITTED, right)
    assert [one.what for one in found.entries[:5]] == list(ALL)
    assert found.corrected == {2: 6, 5: 7}


@pytest.mark.parametrize(
    ("number", "what", "said"),
    [
        (1, PAID, "nothing that was paid, fitted or arrived. Such entries: 2, 3, 5"),
        (9, PAID, "Such entries: 2, 3, 5"),
        (3, PAID, "another kind"),
    ],
)
def test_only_a_fact_of_the_same_kind_is_corrected(
    folder: Path, number: int, what: PaidFact, said: str
) -> None:
    before = (folder / NAME).read_bytes()
    with pytest.raises(RequestError, match=said):
        record(folder, what, corrects=number)
    assert (folder / NAME).read_bytes() == before


def test_what_was_corrected_before_is_not_corrected_again(folder: Path) -> None:
    record(folder, PAID, corrects=2)
    with pytest.raises(RequestError, match="entry 6 stands in its place"):
        record(folder, PAID, corrects=2)
    record(folder, PAID, corrects=6)


def test_a_record_is_read_in_a_folder_that_may_not_be_written(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    read_only(monkeypatch)
    assert read_record(folder).facts == (PAID, FITTED, CAME)
    with pytest.raises(RequestError, match="Read-only file system"):
        record(folder, PAID)


def test_a_record_of_version_0_1_is_named(tmp_path: Path) -> None:
    (tmp_path / EARLIER).write_bytes(b"SQLite format 3\0")
    for act in (lambda: read_record(tmp_path), lambda: record(tmp_path, PAID)):
        with pytest.raises(RequestError, match=r"is a record of version 0\.1"):
            act()
    assert [path.name for path in tmp_path.iterdir()] == [EARLIER]


def test_a_link_in_the_place_of_the_record_is_refused(tmp_path: Path) -> None:
    case = tmp_path / "case"
    case.mkdir()
    (tmp_path / "letter").write_text("mine", encoding="utf-8")
    (case / NAME).symlink_to(tmp_path / "letter")
    for act in (lambda: read_record(case), lambda: record(case, PAID)):
        with pytest.raises(RequestError, match="is a link"):
            act()
    assert (tmp_path / "letter").read_text(encoding="utf-8") == "mine"


def test_a_case_with_a_record_reads_as_without(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    before = reading(folder)
    record(folder, PAID)
    assert reading(folder) == before
