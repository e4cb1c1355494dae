"""Entries in one chain: each line is sealed with a hash over itself and the seal before it.

A seal without a key shows accidents and edits. It does not show a file that was cut at its end, or
written anew from its start by somebody who knows how: only a head that was kept elsewhere does.
"""

import hashlib
import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

HEADER = '{"record of a case":"optioneer","format":2}'
"""The first line of a record."""

SHOWN = 20
"""Digits of a seal that a person keeps: 80 bits."""


@dataclass(frozen=True)
class Link:
    """One entry as it stands in its line.

    Parameters
    ----------
    number
        From 1.
    before
        The seal before it.
    kind, body
        What it is, and what it says.
    corrects
        Number of the entry that counts no more for this one.
    """

    number: int
    before: str
    kind: str
    body: Mapping[str, Any]
    corrects: int | None = None

    @property
    def seal(self) -> str:
        """SHA-256 over everything it says."""
        return _hash(_text(self._content()))

    @property
    def line(self) -> str:
        """It as a line, with its seal."""
        return _text({**self._content(), "seal": self.seal})

    @property
    def head(self) -> str:
        """What the record up to here is told by."""
        return head(self.number, self.seal)

    def _content(self) -> Mapping[str, Any]:
        corrects = {} if self.corrects is None else {"corrects": self.corrects}
        return {
            "number": self.number,
            "before": self.before,
            "kind": self.kind,
            **corrects,
            "body": self.body,
        }


def head(length: int, seal: str) -> str:
    """What a record of so many entries is told by, short enough for paper."""
    return f"{length}-{seal[:SHOWN]}"


def is_head(text: str) -> bool:
    """Whether a text has the form of a head."""
    return re.fullmatch(rf"(0|[1-9]\d{{0,8}})-[0-9a-f]{{{SHOWN}}}", text) is not None


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode("utf-8")).hexdigest()


def _text(value: Mapping[str, Any]) -> str:
    return json.dumps(value, ensure_ascii=False, allow_nan=False, separators=(",", ":"))


START = _hash(HEADER)
"""What the first entry has before it."""

NONE = head(0, START)
"""The head of a record without an entry."""


def after(links: Sequence[Link]) -> tuple[int, str]:
    """Number and seal before it of the entry that comes next."""
    return (links[-1].number + 1, links[-1].seal) if links else (1, START)


def links_of(data: bytes) -> tuple[tuple[Link, ...], tuple[str, ...]]:
    """The entries of a record that are whole, and what is wrong with the rest, a sentence each.

    Parameters
    ----------
    data
        All of the file.

    Returns
    -------
    tuple
        Entries by rising number; sentences, none for a record just as it was written.
    """
    if not data:
        return (), ("The file is empty: what was recorded is gone.",)
    first, *lines = data.split(b"\n")
    damage = []
    if first != HEADER.encode():
        damage.append("Line 1 is not how a record of this version begins.")
    if lines and lines[-1] == b"":
        lines.pop()
    else:
        damage.append("The last line has no end: something is cut off.")
    links: list[Link] = []
    damage += _chain_faults(lines, links)
    return tuple(links), tuple(damage)


def _chain_faults(lines: Sequence[bytes], links: list[Link]) -> Iterator[str]:
    """What is wrong with the lines; those that are whole are put to `links`."""
    broken = False
    for place, line in enumerate(lines, start=2):
        found = _link(line)
        number, before = after(links)
        if isinstance(found, str):
            yield f"Line {place} {found}."
            broken = True
            continue
        if found.number < number:
            yield f"Line {place} repeats entry {found.number}, or stands in the wrong place."
            continue
        if found.number > number:
            yield f"Line {place} is entry {found.number}: {_missing(number, found.number)}."
        elif found.before != before:
            yield f"Line {place} was sealed after another entry than the one that stands before it."
        elif broken:
            yield f"Line {place} follows entry {number - 1}; what stands between was put in."
        broken = False
        links.append(found)


def _missing(first: int, beyond: int) -> str:
    last = beyond - 1
    return (
        f"entry {first} is missing" if first == last else f"entries {first} to {last} are missing"
    )


def _link(line: bytes) -> Link | str:
    """The entry of a line, or what is wrong with it."""
    try:
        text = line.decode("utf-8")
        found = json.loads(text)
        seal = found.pop("seal")
        link = Link(**found)
        whole = type(link.number) is int and isinstance(link.body, dict) and link.number > 0
        written = whole and link.line == text
    except (ValueError, TypeError, AttributeError, KeyError, RecursionError):
        return "cannot be read"
    if not written or seal != link.seal:
        return "was changed after it was sealed"
    return link
