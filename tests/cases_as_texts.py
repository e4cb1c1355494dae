"""The small mill with a line of it changed, as somebody might have got it wrong."""

import csv
import io
import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path

import tomlkit

from optioneer.files.case.read import Reading, reading_of
from optioneer.files.case.texts import folder_texts

MILL = Path(__file__).parent.parent / "catalogs_demo" / "small-mill"


def texts_of(folder: Path) -> dict[str, str]:
    """The texts of a case."""
    return folder_texts(folder)


def mill(futures: int = 256) -> dict[str, str]:
    """Its texts, with fewer futures."""
    texts = texts_of(MILL)
    return changed(texts, "growth.toml", r"^futures = .*", f"futures = {futures}")


FEW_OPTIONS = (
    "rotary-table",
    "fourth-axis-prewire",
    "coolant-20",
    "automatic-door",
    "loader-interface",
)
"""Options that need one another, are dear or cheap later, or come in a bundle."""

FEW_STREAMS = ("everyday", "many-sided", "deep-holes")
"""Work of every sort: certain or not, under drivers, with ranges for figures nobody knows."""


def few(texts: Mapping[str, str], *more: str) -> dict[str, str]:
    """The mill with these options and streams alone, and `more` of either, by their ids.

    For what is asked of each of them.
    """
    return dict(_few(tuple(texts.items()), more))


@cache
def _few(files: tuple[tuple[str, str], ...], more: tuple[str, ...]) -> dict[str, str]:
    texts = dict(files)
    options, streams = {*FEW_OPTIONS, *more}, {*FEW_STREAMS, *more}
    head, *rows = csv.reader(io.StringIO(texts["options.csv"]))
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([head, *(r for r in rows if r[0] in options)])
    growth, machine = tomlkit.parse(texts["growth.toml"]), tomlkit.parse(texts["machine.toml"])
    growth["stream"] = [each for each in growth["stream"] if each["id"] in streams]
    for stream in growth["stream"]:
        stream["way"] = [way for way in stream["way"] if set(way["options"]) <= options]
    for package in machine["package"]:
        for key in {"options", "without"} & package.keys():
            package[key] = [option for option in package[key] if option in options]
    told = {"growth.toml": growth.as_string(), "machine.toml": machine.as_string()}
    return {**texts, **told, "options.csv": out.getvalue()}


def changed(texts: Mapping[str, str], file: str, line: str, other: str) -> dict[str, str]:
    """The texts with the first match of a pattern in a file replaced."""
    text, count = re.subn(line, other, texts[file], count=1, flags=re.MULTILINE)
    assert count == 1, (file, line)
    return {**texts, file: text}


def with_cell(texts: Mapping[str, str], option: str, **cells: str) -> dict[str, str]:
    """The texts with cells of an option's row replaced."""
    head, *rows = csv.reader(io.StringIO(texts["options.csv"]))
    for row in rows:
        if row[0] == option:
            for name, cell in cells.items():
                row[head.index(name)] = cell
            break
    else:
        raise AssertionError(option)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([head, *rows])
    return {**texts, "options.csv": out.getvalue()}


def read(texts: Mapping[str, str]) -> Reading:
    """What they state."""
    return reading_of("small-mill", texts)
