"""DEVELOPERS.md tells the truth about files, names and rooms."""

import re
from functools import cache

import pytest

from tests.test_layers import INSIDE, LEVELS, ROOT

TEXT = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
PICTURE = TEXT.split("```")[1]
CODE = re.findall(r"`([^`\n]+)`", TEXT.replace(PICTURE, ""))
FILES = {
    place.relative_to(ROOT).as_posix()
    for top in ("optioneer", "tests", "catalogs_demo", "docs", ".ci")
    for place in (ROOT / top, *(ROOT / top).rglob("*"))
}
PATHS = sorted(
    {
        word.rstrip("/")
        for code in CODE
        for word in code.split()
        if re.fullmatch(r"[\w.-]+(/[\w.-]+)*/?", word)
        and ("/" in word or re.search(r"\.(py|toml|csv)$", word))
    }
)
NAMES = sorted({code for code in CODE if re.fullmatch(r"\w+\.\w+", code)} - set(PATHS))
CLASSES = sorted({code for code in CODE if re.fullmatch(r"[A-Z][a-z]\w+", code)})


@cache
def source_of(stem: str = "") -> str:
    """All modules of that name, one after the other; without one, all there are."""
    return "\n".join(
        (ROOT / file).read_text(encoding="utf-8")
        for file in sorted(FILES)
        if file.startswith("optioneer/") and file.endswith(f"/{stem}.py" if stem else ".py")
    )


@pytest.mark.parametrize("path", PATHS)
def test_every_file_and_folder_that_is_named_is_there(path: str) -> None:
    assert any(file == path or file.endswith(f"/{path}") for file in FILES)


@pytest.mark.parametrize("name", NAMES)
def test_every_name_in_a_module_or_a_class_is_there(name: str) -> None:
    owner, inner = name.split(".")
    own = source_of(owner) if owner.islower() else source_of().partition(f"class {owner}")[2]
    assert re.search(rf"(?m)^(?: {{4}})?(?:def |class )?{inner}\b", own)


@pytest.mark.parametrize("name", CLASSES)
def test_every_class_that_is_named_is_there(name: str) -> None:
    assert re.search(rf"(?m)^(?:class {name}\b|{name} = )", source_of())


def test_the_picture_shows_every_room() -> None:
    rooms = {*LEVELS, *(f"{room}/{inner}" for room in INSIDE for inner in INSIDE[room])}
    folders = {room.rpartition("/")[2] for room in rooms if (ROOT / "optioneer" / room).is_dir()}
    assert folders - set(re.findall(r"\w+", PICTURE)) == set()
