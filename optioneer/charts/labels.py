"""Names short enough for the edge of a chart, cut between what a reader sees as characters.

The drawing library cuts long labels itself, by halves of characters outside the basic plane, and
then ends on what it has cut; so nothing is left to it to cut.
"""

import unicodedata
from collections.abc import Iterable, Mapping, Sequence
from itertools import count
from typing import Any

import regex

FULL = "full"
"""Key of a row under which the whole name stands when it was shortened."""

MOST = 44
"""Room for a label [columns of a narrow letter]."""

_ELLIPSIS = "\N{HORIZONTAL ELLIPSIS}"
_WIDE = {"W", "F"}
_GRAPHEME = regex.compile(r"\X")
_NO_XML = regex.compile(r"[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def short_label(text: str, most: int = MOST) -> str:
    """A text that takes at most so many columns, cut between graphemes.

    Parameters
    ----------
    most
        Room for it [columns]; a wide character takes two.

    References
    ----------
    Unicode Standard Annex #29, Unicode Text Segmentation, section 3 (extended grapheme clusters).
    Unicode Standard Annex #11, East Asian Width.

    Examples
    --------
    >>> short_label("work probe"), short_label("work probe", 6)
    ('work probe', 'work …')
    """
    width = end = 0
    for grapheme in _GRAPHEME.finditer(text):
        width += _columns(grapheme[0])
        if width < most:
            end = grapheme.end()
        elif width > most:  # what comes after is not looked at
            return text[:end] + _ELLIPSIS
    return text


def _columns(grapheme: str) -> int:
    if grapheme.isascii():
        return 1
    return 2 if any(unicodedata.east_asian_width(c) in _WIDE for c in grapheme) else 1


def short_labels(names: Iterable[str], most: int = MOST) -> Mapping[str, str]:
    """Labels by name, each of them once: what two long names share is told apart by a number."""
    labels: dict[str, str] = {}
    taken: set[str] = set()
    for name in dict.fromkeys(names):
        label = short_label(name, most)
        numbers = count(2)
        while label in taken:
            mark = f" ({next(numbers)})"
            label = short_label(name, most - len(mark)) + mark
        taken.add(label)
        labels[name] = label
    return labels


def drawable(value: Any) -> Any:
    """A chart's specification without characters that no drawing can hold.

    The drawing library ends the whole process on them.

    References
    ----------
    Extensible Markup Language (XML) 1.0, Fifth Edition, section 2.2, production 2 (Char).
    """
    if isinstance(value, str):
        return _NO_XML.sub("", value)
    if isinstance(value, Mapping):
        return {key: drawable(inner) for key, inner in value.items()}
    return [drawable(inner) for inner in value] if isinstance(value, list) else value


def with_labels(rows: Sequence[Mapping[str, Any]], key: str) -> list[dict[str, Any]]:
    """Rows with a short label at a key and the whole name at `FULL`."""
    labels = short_labels(str(row[key]) for row in rows)
    return [{**row, key: labels[str(row[key])], FULL: row[key]} for row in rows]
