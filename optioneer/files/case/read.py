"""A case folder read into a case: every fault of every file at once, or none."""

import difflib
import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from optioneer.errors import CaseError, Fault, did_you_mean
from optioneer.files.case.options_file import read_options
from optioneer.files.case.part import CasePart
from optioneer.files.case.sources_file import read_sources
from optioneer.files.case.toml_files import read_toml
from optioneer.files.plain.numerals import excerpt
from optioneer.files.plain.sentences import faults_of
from optioneer.files.plain.source import Source, refuse
from optioneer.files.saving.folder_state import folder_state
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.checks import consistency
from optioneer.model.growth import Growth
from optioneer.model.machine import Dates, Machine


@dataclass(frozen=True)
class CaseFile:
    """A file that a case folder may hold.

    Parameters
    ----------
    required
        Whether there is no case without it.
    """

    name: str
    read: Callable[[Source], CasePart]
    required: bool = True


FILES: tuple[CaseFile, ...] = (
    CaseFile("machine.toml", read_toml),
    CaseFile("options.csv", read_options),
    CaseFile("growth.toml", read_toml),
    CaseFile("paying.toml", read_toml, required=False),
    CaseFile("site.toml", read_toml, required=False),
    CaseFile("sources.csv", read_sources, required=False),
)
"""The files of a case, in the order in which their faults are told."""

MOST_KEPT = 12
"""Files that are known as read: those of two cases."""


@dataclass(frozen=True)
class Reading:
    """What was read from a folder.

    Parameters
    ----------
    notices
        What is no fault but should be known: files not read, figures that do nothing.
    texts
        What it was read from, by file name, with byte order marks.
    """

    case: Case
    notices: tuple[Fault, ...]
    texts: Mapping[str, str] = field(default_factory=dict)


def read_case(folder: Path) -> Case:
    """The case in a folder.

    Parameters
    ----------
    folder
        Holds ``machine.toml``, ``options.csv`` and ``growth.toml``.

    Raises
    ------
    CaseError
        Anything is wrong with it; all faults of all files together.
    """
    return reading(folder).case


def reading(folder: Path) -> Reading:
    """The case in a folder, with the notices about it.

    Raises
    ------
    CaseError
        Anything is wrong with it; all faults of all files together.
    RequestError
        A list of renames stands in the folder that its files do not bear out.
    """
    state = folder_state(folder)
    found = _reading(folder.resolve().name, state.names, state.text_of)
    return replace(found, texts=state.texts)


def reading_of(name: str, texts: Mapping[str, str]) -> Reading:
    """The case that some texts state, with the notices about it.

    Parameters
    ----------
    name
        Name of the case.
    texts
        Text by file name, as it would stand in the folder.

    Raises
    ------
    CaseError
        Anything is wrong with it; all faults of all files together.
    """

    def text_of(file: str) -> Source:
        if file not in texts:
            refuse(file, "is missing", f"A case folder holds a file '{file}'.")
        return Source.of(file, texts[file])

    return replace(_reading(name, sorted(texts), text_of), texts=dict(texts))


def _reading(name: str, names: Sequence[str], text_of: Callable[[str], Source]) -> Reading:
    misnamed = tuple(_near_names(names))
    parts = {file.name: _part(text_of, file) for file in FILES if _present(file, names, misnamed)}
    found = case_of_parts(parts.values(), name, earlier=misnamed)
    return Reading(found.case, (*_unread(names), *found.notices))


def case_of_parts(
    parts: Iterable[CasePart], name: str, *, earlier: Sequence[Fault] = ()
) -> Reading:
    """The case that parts make together, with the notices about it.

    Parameters
    ----------
    parts
        One a file.
    name
        Name of the case.
    earlier
        Faults that were found before the files were read.

    Raises
    ------
    CaseError
        Anything is wrong with a part or does not fit together; all faults in the order of files.
    """
    made = tuple(parts)
    faults = [*earlier, *(fault for part in made for fault in part.faults)]
    facts = {field: fact for part in made for field, fact in part.facts.items()}
    rows = {option: row for part in made for option, row in part.rows.items()}
    case, more = _case(name, facts, faults)
    faults.extend(_with_rows(more, rows))
    if faults:
        raise CaseError(sorted(faults, key=_order))
    return Reading(case, tuple(_with_rows(consistency.notes(case), rows)))


def _order(fault: Fault) -> int:
    """Position of the file of a fault."""
    named = (number for number, file in enumerate(FILES) if fault.where.startswith(file.name))
    return next(named, -1)


def _near_names(names: Sequence[str]) -> Iterator[Fault]:
    """A fault for each file that is absent while one with nearly its name is there."""
    for file in FILES:
        near = "" if file.name in names else _near(file.name, names)
        if near:
            what = f"there is a file '{excerpt(near)}', which is not read"
            yield Fault(file.name, what, f"Did you mean '{file.name}'? Rename it or take it away.")


def _near(wanted: str, names: Sequence[str]) -> str:
    ours = {file.name for file in FILES}
    others = {n.lower(): n for n in names if n not in ours and not _set_aside(n)}
    near = difflib.get_close_matches(wanted, others, n=1, cutoff=0.8)
    return others[near[0]] if near else ""


def _set_aside(name: str) -> bool:
    """Whether a name says that the file is hidden or a copy kept by an editor."""
    return name.startswith((".", "~")) or name.endswith(("~", ".bak", ".orig", ".tmp", ".old"))


def _present(file: CaseFile, names: Sequence[str], misnamed: Sequence[Fault]) -> bool:
    """Whether to read a file: it is there, or its absence has still to be told."""
    told = any(fault.where == file.name for fault in misnamed)
    return file.name in names or (file.required and not told)


def _part(text_of: Callable[[str], Source], file: CaseFile) -> CasePart:
    try:
        return _part_of(file, text_of(file.name))
    except CaseError as error:
        return CasePart({}, error.faults)


@lru_cache(MOST_KEPT)
def _part_of(file: CaseFile, text: Source) -> CasePart:
    """What a file states; one that stayed as it was is not read again when another changes."""
    return file.read(text)


def _case(name: str, facts: Mapping[str, Any], faults: Sequence[Fault]) -> tuple[Case, list[Fault]]:
    """The case, with placeholders for what could not be read, and what does not fit together."""
    try:
        case = Case(name=name, **{**_stand_in(), **facts})
    except ValidationError as error:
        case = Case(name="-", **{**_stand_in(), **facts})
        wrong = faults_of(error, Case, lambda _: f"the folder's name '{excerpt(name)}'")
    else:
        wrong = []
    found = consistency.faults_among(case, facts.keys())
    return case, [*wrong, *(fault for fault in found if not _follows(fault, faults))]


def _stand_in() -> Mapping[str, Any]:
    return {
        "machine": Machine(name="-", kind="-", base_price=0, currency="USD", margin_per_day=0),
        "dates": Dates(order=date(2000, 1, 1)),
        "catalogue": Catalogue(options=()),
        "growth": Growth(horizon_years=1, discount_rate=0),
    }


def _follows(fault: Fault, earlier: Sequence[Fault]) -> bool:
    """Whether a fault stands at a key that was already refused, so that it may be its result."""
    places = (re.sub(r", row \d+", "", other.where) for other in earlier)
    return any(place.startswith(fault.where) for place in places)


_OPTION = re.compile(r"options\.csv, option '([^']*)'")


def _with_rows(faults: Sequence[Fault], rows: Mapping[str, int]) -> Iterator[Fault]:
    """The faults with the rows of their options."""
    for fault in faults:
        match = _OPTION.match(fault.where)
        row = rows.get(match[1]) if match else None
        where = fault.where.replace(", option", f", row {row}, option", 1) if row else fault.where
        yield Fault(where, fault.what, fault.allowed)


def _unread(names: Sequence[str]) -> Iterator[Fault]:
    """A notice for each file whose name is nearly that of a file of a case."""
    ours = [file.name for file in FILES]
    for name in names:
        if (
            name not in ours
            and not _set_aside(name)
            and difflib.get_close_matches(name, ours, 1, 0.9)
        ):
            yield Fault(excerpt(name), "is not read", did_you_mean(name, ours))
