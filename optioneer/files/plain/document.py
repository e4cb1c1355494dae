"""A TOML file of a case as plain values; faults name the key path or the line."""

import re
import sys
import tomllib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, Self

from optioneer.errors import CaseError, Fault, did_you_mean
from optioneer.files.plain.entry import M, entry
from optioneer.files.plain.numerals import excerpt, thousandfold, two_readings
from optioneer.files.plain.sentences import Where, quoted_value
from optioneer.files.plain.source import Source, refuse
from optioneer.model.fact import money_keys

_POSITION = re.compile(r"(.*) \(at (?:line (\d+), column (\d+)|end of document)\)", re.DOTALL)
_ABOVE = "It belongs to the whole file: write it above the first line in square brackets."
MOST_TABLES = 500
"""More tables of one kind than this are not read."""

_LONG_KEY = re.compile(r"""(?<![\w"'-])(?:[\w"'-]++[ \t]*+\.[ \t]*+){20}""")
"""Parsing dotted keys takes time that grows with the square of their length."""

_HINTS = (
    (re.compile(r'=\s*"[^"]*$'), "Close the quotation marks on the same line."),
    (re.compile(r"^\[\["), "Write every table of a list in double brackets."),
    (re.compile(r"=\s*\d{4}-\d\d-\d\d"), "Write a day that there is, as 2027-02-28."),
    (re.compile(r"%"), "Write a percentage as a fraction: 0.6 for 60 %."),
    (
        re.compile(r"=\s*[$\u20ac\u00a3]|=\s*[0-9][0-9.,'\s]*[,'\s][0-9]"),
        "Write numbers as plain digits with a point for decimals: 312000.00.",
    ),
    (re.compile(r"\d[./-]\d+[./-]\d{4}"), "Write dates as year-month-day: 2027-02-01."),
    (re.compile(r"=\s*[A-Za-z]"), 'Write text in quotes: name = "text".'),
)


class Written(float):
    """A number with its digits as written in the file."""

    text: str

    def __new__(cls, text: str) -> Self:
        """Keep the digits beside the value."""
        value = super().__new__(cls, text)
        value.text = text
        return value


@dataclass
class Document:
    """A TOML file under reading, and the faults found so far.

    Parameters
    ----------
    known
        The keys that may stand at the top of the file.
    """

    name: str
    values: Mapping[str, Any]
    known: Collection[str]
    faults: list[Fault] = field(default_factory=list)

    def fault(self, place: str, what: str, allowed: str = "") -> None:
        """Note that something is wrong at a place of this file."""
        self.faults.append(Fault(f"{self.name}, {place}" if place else self.name, what, allowed))

    def table(self, key: str) -> Mapping[str, Any] | None:
        """The table ``[key]``, if there is one."""
        value = self.values.get(key)
        if value is None or isinstance(value, Mapping):
            return value
        self.fault(key, f"{quoted_value(value)} is not one table", f"Write it once, as [{key}].")
        return None

    def tables(self, key: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
        """Each table ``[[key]]`` with its place, such as ``stream 'robot-work'``."""
        for number, table in enumerate(self.listed(self.values, key, ""), 1):
            label = table.get("id")
            named = f"'{excerpt(label)}'" if isinstance(label, str) else f"{number}"
            yield f"{key} {named}", table

    def only(self, key: str, model: type[M], **stand_in: Any) -> M | None:
        """The fact that the table ``[key]`` states, if there is one; see `fact`."""
        table = self.table(key)
        return None if table is None else self.fact(model, table, key, **stand_in)

    def facts(self, key: str, model: type[M], **stand_in: Any) -> Iterator[M]:
        """The facts that the tables ``[[key]]`` state; see `fact`."""
        found = (self.fact(model, table, at, **stand_in) for at, table in self.tables(key))
        return (fact for fact in found if fact is not None)

    def listed(
        self, values: Mapping[str, Any], key: str, place: str, path: str = ""
    ) -> list[Mapping[str, Any]]:
        """The list of tables at a key; what is no such list is noted and left out."""
        value = values.get(key, [])
        place = f"{place}, {key}" if place else key
        if isinstance(value, list) and all(isinstance(table, Mapping) for table in value):
            if len(value) > MOST_TABLES:
                self.fault(place, f"there are {len(value):,}", f"At most {MOST_TABLES} are read.")
            return value[:MOST_TABLES]
        self.fault(
            place, f"{quoted_value(value)} is not a list of tables", f"Write [[{path or key}]]."
        )
        return []

    def fact(self, model: type[M], raw: Mapping[str, Any], place: str, **stand_in: Any) -> M | None:
        """The fact that a table states; its faults are noted, amounts in doubt among them.

        Parameters
        ----------
        place
            Its place, such as ``machine`` or ``stream 'robot-work'``.
        **stand_in
            Values for required keys that are missing or wrong, see `entry`.
        """
        here = {key: value for key, value in raw.items() if not self._stray(key, model)}
        for key in (key for key in raw if key not in here):
            self.fault(place, f"'{key}' is not a key of this table", _ABOVE)
        self._ask(here, place, money_keys(model))
        found = entry(model, plain_document(here), self._where(place), stand_in=stand_in)
        self.faults.extend(found.faults)
        return found.fact

    def _ask(self, raw: Mapping[str, Any], place: str, keys: Collection[str]) -> None:
        """Note the amounts at these keys that were meant in thousands, such as 312.000."""
        for key in raw:
            for text in _doubts(raw[key]) if key in keys else ():
                what, allowed = two_readings(text)
                self.fault(f"{place}, {key}", f"{text} {what}", allowed)

    def _stray(self, key: str, model: type[M]) -> bool:
        """Whether a key stands in a table although it belongs to the top of the file."""
        return key in self.known and key not in model.model_fields

    def _where(self, place: str) -> Where:
        start = f"{self.name}, {place}" if place else self.name

        def where(path: tuple[int | str, ...]) -> str:
            parts = [f"item {part + 1}" if isinstance(part, int) else part for part in path]
            return ", ".join([start, *parts])

        return where


def document(source: Source, known: Collection[str]) -> Document:
    """The TOML in a text, keys at the top that are not known noted as faults.

    Raises
    ------
    CaseError
        The text is not TOML; one fault with line and column.
    """
    if _LONG_KEY.search(source.text):
        refuse(source.name, "holds a key of over twenty parts", "A case needs two at most.")
    try:
        values = tomllib.loads(source.text.replace("\r\n", "\n"), parse_float=Written)
    except tomllib.TOMLDecodeError as error:
        raise CaseError([_syntax_fault(source, str(error))]) from error
    except RecursionError:
        refuse(source.name, "is nested too deeply", "A case needs three levels at most.")
    except ValueError:  # whole numbers of thousands of digits
        limit = sys.get_int_max_str_digits()
        refuse(source.name, f"holds a number of over {limit} digits", "Write a smaller number.")
    if not values:
        refuse(source.name, "is empty", f"It holds {', '.join(known)}.")
    found = Document(source.name, values, known)
    for key in (key for key in values if key not in known):
        found.fault("", f"'{excerpt(key)}' is not a known key", did_you_mean(key, known))
    return found


def plain_document(value: Any) -> Any:
    """The values of a document without the record of how numbers were written."""
    if isinstance(value, Written):
        return float(value)
    if isinstance(value, Mapping):
        return {key: plain_document(item) for key, item in value.items()}
    return [plain_document(item) for item in value] if isinstance(value, list) else value


def _doubts(value: Any) -> list[str]:
    """The amounts, as written, that somebody may have meant in thousands.

    In TOML the point is the decimal mark and never a thousands mark. But nobody writes 1.25 as
    1.250, and 312.000 means one thing in this format and a thousand times as much in many an
    office: three decimals that end in 0 are asked about, 603.647 is what it says.
    """
    inside = list(value.values()) if isinstance(value, Mapping) else value
    values = inside if isinstance(inside, list) else [inside]
    written = [item.text for item in values if isinstance(item, Written)]
    return [text for text in written if thousandfold(text) and text.endswith("0")]


def _syntax_fault(source: Source, message: str) -> Fault:
    match = _POSITION.fullmatch(message)
    if match is None or match[2] is None:
        what = _sentence_part(match[1] if match else message)
        return Fault(f"{source.name}, at its end", what, "Look for a bracket or quote left open.")
    line = source.text.replace("\r\n", "\n").split("\n")[int(match[2]) - 1].strip()
    line = re.sub(r"\s+#.*", "", line)
    where = f"{source.name}, line {match[2]}, column {match[3]}"
    return Fault(where, f"{_sentence_part(match[1])}, found: {excerpt(line)}", _hint(line))


def _hint(line: str) -> str:
    return next((hint for pattern, hint in _HINTS if pattern.search(line)), "")


def _sentence_part(message: str) -> str:
    return excerpt(message[:1].lower() + message[1:])
