"""Damaged and hostile files: a case or its faults, soon, and nothing else."""

import random
from pathlib import Path

import pytest

from optioneer.errors import CaseError
from optioneer.files.case.read import read_case
from tests.files.folders import starter

FILES = ("machine.toml", "options.csv", "growth.toml")
TOKENS: list[bytes] = [b'"', b"'", b"'''", b'"""', b";", b",", b"\t", b"\r", b"\n", b"\0"]
TOKENS += [b"[", b"]", b"[[", b"{", b"=", b"nan", b"-", b"1e999", b"9" * 400, b"\xff\xfe"]
TOKENS += [b"\xef\xbb\xbf", b"\xed\xa0\x80", b"true", b"none", b"\\u0000", b"\xe2\x80\xae", b"a.b"]
TOKENS += [b"#", b"1979-05-27T07:32:00Z"]


def mutated(data: bytes, chance: random.Random) -> bytes:
    """A file with up to four damages: bytes changed, cut out, doubled, or tokens put in."""
    for _ in range(chance.randint(1, 4)):
        start, end = sorted(chance.randrange(len(data) + 1) for _ in range(2))
        end = min(end, start + 40)
        part = data[start:end]
        new = chance.choice((b"", part * 2, chance.randbytes(3), chance.choice(TOKENS), part[::-1]))
        data = data[:start] + new + data[end:]
    return data


def outcome(folder: Path) -> str:
    """The sentences about a folder, '' when it is a case; the runner ends endless reading."""
    try:
        read_case(folder)
    except CaseError as error:
        told = str(error)
        told.encode("utf-8")
        assert told
        return told
    return ""


@pytest.mark.parametrize("file", FILES)
def test_a_damaged_file_is_a_case_or_has_faults(tmp_path: Path, file: str) -> None:
    folder = starter(tmp_path)
    whole = (folder / file).read_bytes()
    outcomes = set()
    for seed in range(100):
        (folder / file).write_bytes(mutated(whole, random.Random(f"{file} {seed}")))  # noqa: S311 - damage, no secret
        outcomes.add(bool(outcome(folder)))
    assert True in outcomes


def many_unknown() -> bytes:
    """Five hundred options that each require thirty that do not exist."""
    names = ";".join(f"no-{number}" for number in range(30))
    rows = [f"o-{number},Name,1,factory-only,{names}" for number in range(500)]
    return "\n".join(["option,name,price,fitting,requires", *rows]).encode()


BOMBS = {
    "a megabyte of separators": ("options.csv", b"," * 1_000_000),
    "a million quotes": ("options.csv", b'option,name\n"' + b'""' * 500_000),
    "forty thousand headings": ("options.csv", b"option," * 40_000),
    "a hundred thousand rows": ("options.csv", b"option,name,price,fitting\n" + b"a\n" * 100_000),
    "five hundred and one options": (
        "options.csv",
        b"option,name,price,fitting\n"
        + b"".join(b"o-%d,Name,1,factory-only\n" % number for number in range(501)),
    ),
    "an enormous cell": ("options.csv", b"option,name,price,fitting\na," + b"x" * 200_000),
    "many unknown names": ("options.csv", many_unknown()),
    "a tower of accents": (
        "options.csv",
        b"option,name,price,fitting\na," + "a\u0301".encode() * 10_000 + b",1,factory-only\n",
    ),
    "deep lists": ("growth.toml", b"a = " + b"[" * 100_000),
    "deep tables": ("growth.toml", b"a" + b".a" * 100_000 + b" = 1"),
    "a number of ten thousand digits": ("growth.toml", b"seed = " + b"9" * 10_000),
    "a number of four thousand digits": ("growth.toml", b"seed = " + b"9" * 4_000),
    "twenty thousand streams": ("growth.toml", b"[[stream]]\n" * 20_000),
    "twenty thousand packages": ("machine.toml", b'[[package]]\nid = "a"\n' * 20_000),
    "a list of a hundred thousand": (
        "machine.toml",
        b'[[bundle]]\nid = "b"\ndiscount = 1\noptions = [' + b'"x",' * 100_000 + b"]",
    ),
}


@pytest.mark.parametrize("bomb", BOMBS)
def test_a_bomb_is_refused_soon(tmp_path: Path, bomb: str) -> None:
    folder = starter(tmp_path)
    file, data = BOMBS[bomb]
    (folder / file).write_bytes(data)
    told = outcome(folder)
    assert told
    assert len(told) < 10_000_000


@pytest.mark.parametrize("text", ["\N{RIGHT-TO-LEFT OVERRIDE}evil", "\N{BELL}", "\ufffe", "\x7f"])
def test_messages_show_no_character_that_a_terminal_would_act_on(tmp_path: Path, text: str) -> None:
    folder = starter(tmp_path)
    data = (folder / "options.csv").read_text(encoding="utf-8").replace("4600", text)
    (folder / "options.csv").write_text(data, encoding="utf-8")
    told = outcome(folder)
    assert told.isprintable()


def test_a_folder_name_that_is_no_text_is_told(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    odd = folder.rename(tmp_path / "bell\x07")
    assert "the folder's name 'bell\\u0007'" in outcome(odd)


def test_a_folder_name_of_bytes_is_told(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    odd = folder.rename(Path(str(tmp_path) + "/caf\udce9"))
    assert "the folder's name" in outcome(odd)
