"""The mapping file: which columns and lines of a dealer's list mean what, told once for good."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import tomlkit

from optioneer.errors import CaseError, Fault, did_you_mean
from optioneer.files.plain.document import document, plain_document
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.sentences import quoted_value
from optioneer.files.plain.source import source

KEYS = ("decimal", "columns", "lines")
COLUMNS = ("name", "price", "code")
MACHINE = "base_price"
"""What a line of the machine itself means."""

SKIP = ""
"""What a line means that is left out."""


@dataclass(frozen=True)
class QuoteMapping:
    """What a person has settled about a list.

    Parameters
    ----------
    decimal
        Decimal mark of its prices, or ''.
    columns
        Headings of the columns with name, price and code, those that are told.
    lines
        Option by the text of a line; '' leaves the line out.
    """

    decimal: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    lines: Mapping[str, str] = field(default_factory=dict)


def read_mapping(path: Path, options: Sequence[str]) -> QuoteMapping:
    """The mapping in a file.

    Parameters
    ----------
    options
        Ids that a line may mean.

    Raises
    ------
    CaseError
        It is no mapping; all faults at once.
    """
    toml = document(source(path.parent, path.name), KEYS)
    values: Mapping[str, Any] = plain_document(toml.values)
    decimal = values.get("decimal", "")
    if decimal not in ("", ".", ","):  # a list, too, may stand there, which has no hash
        toml.fault("decimal", f"{quoted_value(decimal)} is no decimal mark", "Write '.' or ','.")
    tables = {key: _texts(toml.faults, path.name, key, values.get(key, {})) for key in KEYS[1:]}
    for key in tables["columns"].keys() - set(COLUMNS):
        toml.fault(f"columns, {key}", "is not a known key", did_you_mean(key, COLUMNS))
    for text, option in tables["lines"].items():
        if option not in {SKIP, MACHINE, *options}:
            what = f"there is no option '{excerpt(option)}'"
            toml.fault(f"lines, {excerpt(text)}", what, did_you_mean(option, [*options, MACHINE]))
    if toml.faults:
        raise CaseError(toml.faults)
    return QuoteMapping(str(decimal), tables["columns"], tables["lines"])


def _texts(faults: list[Fault], name: str, key: str, value: object) -> dict[str, str]:
    if isinstance(value, Mapping) and all(isinstance(one, str) for one in value.values()):
        return {str(text): str(one) for text, one in value.items()}
    faults.append(
        Fault(f"{name}, {key}", "is not a table of texts", f'Write [{key}] and "a" = "b".')
    )
    return {}


def mapping_text(mapping: QuoteMapping, guesses: Mapping[str, str]) -> str:
    """The text of a mapping file; guesses stand in it as remarks, to be confirmed by hand.

    Parameters
    ----------
    guesses
        Option by the text of a line, where it is a guess; '' where there is none.
    """
    file = tomlkit.document()
    file.add(tomlkit.comment('Which line of the dealer\'s list means which option: "line" = "id".'))
    file.add(tomlkit.comment('"base_price" is the machine itself, "" leaves a line out.'))
    if mapping.decimal:
        file["decimal"] = mapping.decimal
    for key, values in (("columns", mapping.columns), ("lines", mapping.lines)):
        table = tomlkit.table()
        for text, one in values.items():
            table.add(tomlkit.key([text]) if "." in text else text, one)
        file[key] = table
    remarks = [
        f"# {tomlkit.item(text).as_string()} = {tomlkit.item(option).as_string()}\n"
        for text, option in guesses.items()
    ]
    asked = "\n# Not settled: take the # away where it is right, and fill in the id.\n"
    return tomlkit.dumps(file) + (asked + "".join(remarks) if remarks else "")
