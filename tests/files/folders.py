"""Case folders for tests: the starter case with one thing changed."""

from pathlib import Path

from optioneer.files.case.starter import write_starter


def starter(folder: Path) -> Path:
    """A folder with the starter case."""
    write_starter(folder / "case")
    return folder / "case"


def edit(folder: Path, file: str, *changes: tuple[str, str]) -> None:
    """Replace texts in a file; each must be there."""
    path = folder / file
    text = path.read_bytes().decode("utf-8")
    for old, new in changes:
        assert old in text, f"{file} holds no {old!r}"
        text = text.replace(old, new, 1)
    path.write_bytes(text.encode("utf-8"))
