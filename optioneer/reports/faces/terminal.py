"""A page as text for a terminal or a pipe."""

import io
from collections.abc import Iterator, Sequence

from rich import box
from rich.cells import cell_len
from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table as Grid
from rich.text import Text

from optioneer.reports.page.parts import (
    Bullets,
    Entries,
    Heading,
    Page,
    PageEntry,
    Paragraph,
    Part,
    Picture,
    Section,
    Table,
)
from optioneer.reports.page.printable import printable

NARROWEST, WIDEST = 60, 140
"""Bounds on the width of a page [columns]."""

PLAIN = str.maketrans(
    {"±": "+-", "─": "-", "…": "...", "•": "*", "\u00a0": " ", "\u202f": " ", "\u2019": "'"}
)
"""What stands in for characters that an encoding lacks."""


def terminal_text(page: Page, *, width: int = 100, styled: bool = False) -> str:
    """`page` as lines of text.

    Parameters
    ----------
    width
        Columns of the terminal; the page keeps between `NARROWEST` and `WIDEST`.
    styled
        Whether bold type and colours may be used; nothing is said by them alone.
    """
    console = Console(
        file=io.StringIO(),
        width=min(max(width, NARROWEST), WIDEST),
        color_system="standard" if styled else None,
        force_terminal=styled,
        legacy_windows=False,
        no_color=not styled,
        highlight=False,
        markup=False,
        emoji=False,
    )
    with console.capture() as capture:
        for part in page:
            for line in _renderables(part, console.width):
                console.print(line)
    return "\n".join(line.rstrip() for line in capture.get().splitlines()) + "\n"


def in_encoding(text: str, encoding: str | None) -> str:
    """`text` with stand-ins for what `encoding` cannot say."""
    name = encoding or "utf-8"
    try:
        text.encode(name)
    except UnicodeEncodeError:
        return text.translate(PLAIN).encode(name, "replace").decode(name)
    return text


def _renderables(part: Part, width: int) -> Iterator[RenderableType]:
    match part:
        case Heading():
            yield from _heading(part)
        case Section():
            yield _text(part.text.upper(), "bold")
            yield Rule(style="dim")
        case Paragraph():
            yield _text(part.text, "bold" if part.strong else "")
        case Bullets():
            yield from _title(part.title)
            yield from (_bullet(sentence) for sentence in part.sentences)
        case Entries():
            yield from _entries(part, width)
        case Table():
            yield from _table(part, width)
        case Picture():
            yield _text(f"{part.title}: {part.told}", "dim")
    yield ""


def _heading(part: Heading) -> Iterator[RenderableType]:
    grid = Grid.grid(expand=True)
    grid.add_column(ratio=1)
    grid.add_column(justify="right")
    grid.add_row(_text(part.text, "bold"), _text(part.aside, "dim"))
    yield grid
    yield Rule(style="dim")


def _title(title: str) -> Iterator[RenderableType]:
    if title:
        yield _text(title.upper(), "bold cyan")


def _bullet(sentence: str) -> RenderableType:
    grid = Grid.grid(padding=(0, 1, 0, 0))
    grid.add_row(" -", _text(sentence))
    return grid


def _entries(part: Entries, width: int) -> Iterator[RenderableType]:
    # figures keep their columns from group to group: widths come from the page, not the group
    widths = (max(width // 8, 12), max(width // 4, 21))
    yield _line(_text(part.title.upper(), "bold cyan"), part.heads, widths, "dim")
    for entry in part.entries:
        yield from _entry(entry, widths)
    if part.foot:
        yield _text(part.foot)


def _entry(entry: PageEntry, widths: Sequence[int]) -> Iterator[RenderableType]:
    name = Padding(_text(entry.name, "bold"), (0, 0, 0, 2))
    yield _line(name, entry.figures, widths, "")
    yield Padding(_text(entry.sentence), (0, 0, 0, 6))


def _line(
    first: RenderableType, figures: Sequence[str], widths: Sequence[int], style: str
) -> RenderableType:
    grid = Grid.grid(expand=True, padding=(0, 0, 0, 1))
    grid.add_column(ratio=1)
    for figure, width in zip(figures, widths, strict=True):
        grid.add_column(justify="right", no_wrap=True, min_width=max(width, cell_len(figure)))
    grid.add_row(first, *(_text(figure, style) for figure in figures))
    return grid


def _table(part: Table, width: int) -> Iterator[RenderableType]:
    yield from _title(part.title)
    for columns in _columns_that_fit(part, width):
        yield _grid(part, columns)
    if part.note:
        yield _text(part.note, "dim")


def _columns_that_fit(part: Table, width: int) -> Iterator[Sequence[int]]:
    """The columns after the first in as many runs as the width asks for, the first in each."""
    sizes = [
        _longest_word(part, column) if _wraps(part, column) else _size(part, column)
        for column in range(len(part.heads))
    ]
    run: list[int] = [0]
    for column in range(1, len(part.heads)):
        if len(run) > 1 and sum(sizes[c] + GAP for c in [*run, column]) - GAP > width:
            yield run
            run = [0]
        run.append(column)
    yield run


GAP = 3
"""Blanks between two columns: the padding of both and the line that is not drawn."""

HEAD_WIDTH = 14
"""Heads of figure columns wrap beyond this many columns."""


def _size(part: Table, column: int) -> int:
    cells = max((cell_len(row[column]) for row in part.rows), default=0)
    return max(cells, min(cell_len(part.heads[column]), HEAD_WIDTH))


def _wraps(part: Table, column: int) -> bool:
    """Whether a column is broken between words: text, and the names beside it; figures never."""
    return part.text_last and column in {0, len(part.heads) - 1}


def _longest_word(part: Table, column: int) -> int:
    cells = [part.heads[column], *(row[column] for row in part.rows)]
    return max((cell_len(word) for cell in cells for word in cell.split()), default=1)


def _grid(part: Table, columns: Sequence[int]) -> RenderableType:
    headed = any(part.heads)
    grid = Grid(box=box.SIMPLE_HEAD, show_edge=False, pad_edge=False, show_header=headed)
    for column in columns:
        text = part.text_last and column == len(part.heads) - 1
        wraps = _wraps(part, column)
        grid.add_column(
            _text(part.heads[column]),
            justify="left" if column == 0 or text else "right",
            min_width=_longest_word(part, column) if wraps else _size(part, column),
            max_width=None if wraps else _size(part, column),
        )
    for row in part.rows:
        grid.add_row(*(_text(row[column]) for column in columns))
    return grid


def _text(text: str, style: str = "") -> Text:
    return Text(printable(text), style=style)
