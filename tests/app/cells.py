"""For every sheet of a case: one cell changed for good, one typed wrongly, and mended."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache

from optioneer.app.parts.references import table_of
from optioneer.errors import OptioneerError
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.files.case.texts import folder_texts
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import OWNER, VALUE, Edits, columns_in, rows, with_edits
from optioneer.forms.schema import FormTable
from optioneer.study.ready.first_chips import with_first_chips

WRONG = "4,2x"
"""No figure, no day, and no key or name of anything."""

RIGHT = (
    "Anew",
    "1",
    "2",
    "3",
    "30",
    "0.5",
    "1.2",
    "120",
    "staged",
    "2030-01-02",
    "2027-08-20",
    "TX",
)
"""What may be right in some cell or other."""

ADDED = {
    "transformers": {"kva": "45", "primary_v": "480", "secondary_v": "400"},
    "loads": {"id": "lights", "kva": "5"},
    "steps": {OWNER: "bank", "after": "12", "times": "0.5"},
}
"""A row for the sheets that are empty in the demo."""

SET = {"sales-tax": ("0.07",), "hours": ("1700", "65")}
"""Figures for the sheets that are blank in the demo."""


@dataclass(frozen=True)
class Cell:
    """A text in a cell."""

    row: int
    column: str
    text: str


@dataclass(frozen=True)
class Typing:
    """What is typed into a sheet: one change that stays, a slip, and the slip mended."""

    kept: Cell
    slip: Cell
    mended: Cell


def filled(word: str) -> dict[str, str]:
    """A case with something on a sheet: the stages of the dealer leave no others to the plans."""
    return dict(_filled(word))


@cache
def _filled(word: str) -> Mapping[str, str]:
    texts = full_case()
    if word not in {"stages", "dealer-stages"}:
        return texts
    his = SHEETS["dealer-stages"]
    texts = with_edits(his, texts, Edits(removed=range(len(rows(his, texts)))))
    whole = {"share": "1", "when": "shipped"}
    owners = ("staged", "bank-stages") if word == "stages" else ("",)
    added = [{OWNER: owner, **whole} if owner else whole for owner in owners]
    return with_edits(SHEETS[word], texts, Edits(added=added))


def full_case() -> dict[str, str]:
    """The mill-turn with something on every sheet, but the stages of plans."""
    return dict(_full_case())


@cache
def _full_case() -> Mapping[str, str]:
    texts = folder_texts(next(each for each in demo_folders() if each.name == "mill-turn"))
    for word, row in ADDED.items():
        texts = with_edits(SHEETS[word], texts, Edits(added=[row]))
    for word, values in SET.items():
        cells = {place: {VALUE: value} for place, value in enumerate(values)}
        texts = with_edits(SHEETS[word], texts, Edits(changed=cells))
    return texts


def sound(texts: Mapping[str, str]) -> bool:
    """Whether a case has no faults."""
    try:
        with_first_chips(reading_of("mill-turn", dict(texts)).case)
    except OptioneerError:
        return False
    return True


def changed(sheet: FormTable, texts: Mapping[str, str], *typed: Cell) -> dict[str, str]:
    """The files with cells changed."""
    edits: dict[int, dict[str, str]] = {}
    for cell in typed:
        edits.setdefault(cell.row, {})[cell.column] = cell.text
    return with_edits(sheet, texts, Edits(changed=edits))


def heads(sheet: FormTable) -> list[str]:
    """The columns as they stand on the screen."""
    names = [column.key for column in columns_in(sheet)] if sheet.many else ["figure", VALUE]
    return [OWNER, *names] if sheet.owner else names


def _places(sheet: FormTable, texts: Mapping[str, str]) -> Iterator[tuple[int, str]]:
    """Cells that are typed into, not chosen from a list."""
    if not sheet.many:
        for row, column in enumerate(columns_in(sheet)):
            if not column.choices:
                yield row, VALUE
        return
    for row in range(min(2, len(rows(sheet, texts)))):
        for column in columns_in(sheet):
            if not column.choices and not table_of(sheet, column.key):
                yield row, column.key


def typing(sheet: FormTable, texts: Mapping[str, str]) -> Typing:
    """Cells of a sheet for a change that stays, and for a slip."""
    return _typing(sheet.word, tuple(texts.items()))


@cache
def _typing(word: str, files: tuple[tuple[str, str], ...]) -> Typing:
    """Many cells are tried until one is right: once for all who ask."""
    sheet, texts = SHEETS[word], dict(files)
    before = rows(sheet, texts)
    places = list(_places(sheet, texts))
    filled_first = sorted(places, key=lambda place: not before[place[0]][place[1]])
    slips = (Cell(row, column, WRONG) for row, column in filled_first)
    slip = next(cell for cell in slips if not sound(changed(sheet, texts, cell)))
    others = [place for place in places if place != (slip.row, slip.column)] or places
    kept = next(
        Cell(row, column, text)
        for row, column in others
        for text in RIGHT
        if before[row][column] != text and sound(changed(sheet, texts, Cell(row, column, text)))
    )
    alone = (kept.row, kept.column) == (slip.row, slip.column)
    old = kept.text if alone else before[slip.row][slip.column]
    return Typing(kept, slip, Cell(slip.row, slip.column, old))
