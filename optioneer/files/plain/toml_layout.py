"""New values in an old TOML text: comments, order and spacing stay, only what changed changes.

The text is taken as sections: a line in square brackets with the remarks right above it, and the
keys below it. Sections are kept, moved and dropped whole; inside one, tomlkit changes single keys.
"""

import io
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

import tomlkit

from optioneer.files.plain.toml_values import Shape, TomlTable, complete, item

_HEADING = re.compile(r"[ \t]*\[[^\n]*\][ \t]*(#[^\n]*)?\n?")
_REMARK = re.compile(r"[ \t]*(#.*)?")


@dataclass
class TomlSection:
    """A part of the text under one heading, with the sections inside it.

    Parameters
    ----------
    key
        Last word of the heading; '' for the text above the first heading.
    lead
        Remarks right above the heading, and the heading's line.
    body
        The lines below it.
    inner
        Sections of longer headings that belong to it, in the order of the text.
    """

    key: str
    lead: str
    body: str
    inner: list["TomlSection"] = field(default_factory=list)

    def __str__(self) -> str:
        return self.lead + self.body + "".join(str(section) for section in self.inner)

    def values(self) -> TomlTable:
        """What its own lines state, the sections inside it left out."""
        return _stated(self.body)

    def among(self, key: str) -> list["TomlSection"]:
        """The sections inside it with this key."""
        return [section for section in self.inner if section.key == key]


MOST_KEPT = 1024
"""Sections that are known as read: edits come one by one, and most of a file stays as it is."""


@lru_cache(MOST_KEPT)
def _stated(lines: str) -> TomlTable:
    """What some lines state; nobody may change it."""
    return tomllib.loads(lines)


def updated(text: str, wanted: TomlTable, known: Shape) -> str:
    """A text that states `wanted` and is `text` otherwise.

    Parameters
    ----------
    text
        A TOML text, '' for a new one.
    wanted
        Everything it is to state.
    known
        The shape of the file.
    """
    ends = "\r\n" if "\r\n" in text else "\n"
    top = _sections(text.replace("\r\n", "\n"))
    _update(top, wanted, known, path="")
    return str(top).removeprefix("\n" if not text else "").replace("\n", ends)


def _sections(text: str) -> TomlSection:
    """The text as a tree of sections."""
    lines = list(io.StringIO(text))
    if lines and not lines[-1].endswith("\n"):
        lines[-1] += "\n"
    headings = list(_headings(lines))
    leads = [_lead(lines, heading) for heading in headings]
    ends = [*leads, len(lines)]
    top = TomlSection("", lead="", body="".join(lines[: ends[0]]))
    for start, heading, end in zip(leads, headings, ends[1:], strict=True):
        path = list(_path(_stated(lines[heading])))
        lead, body = "".join(lines[start : heading + 1]), "".join(lines[heading + 1 : end])
        _home(top, path[:-1]).inner.append(TomlSection(path[-1], lead, body))
    return top


def _headings(lines: Sequence[str]) -> Iterator[int]:
    """Positions of the headings; a line inside a text or a list only looks like one."""
    body = 0
    for position, line in enumerate(lines):
        if _HEADING.fullmatch(line) and _is_whole("".join(lines[body:position])):
            yield position
            body = position + 1


def _lead(lines: Sequence[str], heading: int) -> int:
    """Where the remarks right above a heading begin, with the blank lines above them."""
    start = heading
    while start and lines[start - 1].lstrip().startswith("#"):
        start -= 1
    while start and not lines[start - 1].strip():
        start -= 1
    return start


def _home(top: TomlSection, path: Sequence[str]) -> TomlSection:
    """The last section that a heading of this path belongs to."""
    home = top
    for key in path:
        inner = home.among(key)
        if not inner:
            home.inner.append(TomlSection(key, lead="", body=""))
        home = home.among(key)[-1]
    return home


def _path(nested: Mapping[str, Any]) -> Iterator[str]:
    while nested:
        ((key, value),) = nested.items()
        yield key
        nested = value[0] if isinstance(value, list) else value


def _is_whole(text: str) -> bool:
    """Whether a text ends outside of strings and lists."""
    try:
        _stated(text)
    except tomllib.TOMLDecodeError:
        return False
    return True


def _update(section: TomlSection, wanted: TomlTable, known: Shape, path: str) -> None:
    """Make a section and those inside it state `wanted`."""
    inside, here = {one.key for one in section.inner}, section.values()
    apart = {key for key in known.tables if key not in here} | inside
    for key in [key for key in inside if key not in wanted]:
        section.inner = [one for one in section.inner if one.key != key]
    for key in [key for key in wanted if key in apart]:
        value, shape = wanted[key], known.tables.get(key, Shape())
        if key in inside or known.absent.get(key) != value:
            _update_apart(section, key, value, shape, f"{path}{key}")
    lines = {k: v for k, v in wanted.items() if k not in apart}
    if not _states(here, lines, known):
        _update_lines(section, lines, known)


def _update_apart(section: TomlSection, key: str, value: Any, known: Shape, path: str) -> None:
    """Make the sections ``[key]`` or ``[[key]]`` inside one state a table or a list of tables."""
    listed = isinstance(value, list)
    entries = value if listed else [value]
    old = section.among(key)
    named: dict[str, list[TomlSection]] = {}  # lists, as a text under edit may have one id twice
    for number, one in enumerate(old):
        named.setdefault(str(one.values().get("id", number)), []).append(one)
    names = [str(entry.get("id", number)) for number, entry in enumerate(entries)]
    new = [named[n].pop(0) if named.get(n) else _fresh(path, listed=listed) for n in names]
    for one, entry in zip(new, entries, strict=True):
        _update(one, entry, known, f"{path}.")
    section.inner = _with_new_sections(section.inner, old, new)


def _fresh(path: str, *, listed: bool) -> TomlSection:
    heading = f"\n[[{path}]]\n" if listed else f"\n[{path}]\n"
    return TomlSection(path.rpartition(".")[2], lead=heading, body="")


def _with_new_sections(
    inner: Sequence[TomlSection], old: Sequence[TomlSection], new: Sequence[TomlSection]
) -> list[TomlSection]:
    """The sections with the old ones of a key replaced by the new ones, at the same places."""
    places = [number for number, one in enumerate(inner) if any(one is other for other in old)]
    waiting = list(new)
    result: list[TomlSection] = []
    for number, one in enumerate(inner):
        if number not in places:
            result.append(one)
        elif number == places[-1]:
            result.extend(waiting)
        elif waiting:
            result.append(waiting.pop(0))
    return result if places else [*inner, *new]


def _update_lines(section: TomlSection, wanted: TomlTable, known: Shape) -> None:
    """Make the lines of a section state `wanted`; new keys come above the remarks at its end."""
    lines, tail = _keys_and_rest(section.body)
    document = tomlkit.parse(lines)
    _merge(document, wanted, known)
    section.body = tomlkit.dumps(document) + tail


def _states(here: TomlTable, wanted: TomlTable, known: Shape) -> bool:
    """Whether there is nothing to merge; most sections stay as they are."""
    return here.keys() <= wanted.keys() and all(
        _same(here[key], value, known.tables.get(key, Shape()))
        if key in here
        else known.absent.get(key) == value
        for key, value in wanted.items()
    )


def _same(here: Any, wanted: Any, known: Shape) -> bool:
    if isinstance(wanted, Mapping) and isinstance(here, Mapping):
        return _states(here, wanted, known)
    return bool(complete(here, known) == wanted)


def _merge(body: Any, wanted: TomlTable, known: Shape) -> None:
    """Make a table of tomlkit's state `wanted`, in place; tables inside it likewise."""
    here = body.unwrap()
    for key in here.keys() - wanted.keys():
        del body[key]
    for key, value in wanted.items():
        inner = known.tables.get(key, Shape())
        if key not in here:
            if known.absent.get(key) != value:
                body[key] = item(value)
        elif isinstance(value, Mapping) and isinstance(here[key], Mapping):
            _merge(body[key], value, inner)
        elif not _same(here[key], value, inner):
            body[key] = item(value)


def _keys_and_rest(body: str) -> tuple[str, str]:
    """The lines of a body up to its last key, and the blank lines and remarks below."""
    lines = list(io.StringIO(body))
    count = len(lines)
    while count and _REMARK.fullmatch(lines[count - 1].rstrip("\n")):
        count -= 1
    return "".join(lines[:count]), "".join(lines[count:])
