"""Parts of a page (`reports.parts`) on the screen: the same parts as on the command line."""

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import streamlit as st

from optioneer.app.engine.heads import fault_in_words, in_words
from optioneer.app.engine.words import escaped, literal
from optioneer.app.parts import fold, references
from optioneer.app.parts.styles import STYLE
from optioneer.app.session import state
from optioneer.errors import Fault, OptioneerError, Question
from optioneer.reports.page.parts import (
    Bullets,
    Entries,
    Heading,
    Page,
    Paragraph,
    Part,
    Picture,
    Section,
    Table,
)

_FIGURE = re.compile(r"\W*(?:[A-Z]{3}\W*)?\d")
"""How a figure begins: a sign, a currency or nothing, then a digit."""

_DAY = re.compile(r"\d{4}-\d\d(-\d\d)?")
"""A day or month, which stays on one line."""


WIDE = 2
"""Cells a row beside its name from which on a table may have to be moved sideways, by key too."""


FEW = 12
"""Rows of a wide table that a phone shows cell below cell; longer ones are moved sideways."""

NARROW = 28
"""Letters beside the names for which a phone has room."""


def style() -> None:
    """The looks of tables, on the screen and on paper."""
    st.html(STYLE)


def page(parts: Page) -> None:
    """Every part in order."""
    for part in parts:
        show(part)


def show(part: Part) -> None:
    """One part."""
    _SHOWERS[type(part)](part)


def heading(part: Heading) -> None:
    """The title of a page."""
    st.header(literal(part.text))
    if part.aside:
        st.caption(literal(part.aside))


def section(part: Section) -> None:
    """The title of a part of a longer paper."""
    st.subheader(literal(part.text))


def picture(part: Picture) -> None:
    """A drawing, with what it shows in words."""
    st.image(part.svg, caption=literal(part.title))
    st.caption(literal(part.told))


def paragraph(part: Paragraph) -> None:
    """Sentences; strong ones stand out."""
    if part.strong:
        st.markdown(f"#### {literal(in_words(part.text))}")
    else:
        st.markdown(literal(in_words(part.text)))


def bullets(part: Bullets) -> None:
    """Sentences of one kind."""
    st.markdown(f"**{literal(part.title)}**")
    st.markdown("\n".join(f"- {literal(in_words(each))}" for each in part.sentences))


def table(part: Table) -> None:
    """A table that reads and prints as one."""
    st.html(_table_html(part))
    if part.note:
        st.caption(literal(in_words(part.note)))


def on_paper(part: Table) -> None:
    """A table that only paper shows, in the place of a grid that is drawn for a screen."""
    st.html(f'<div class="paper">{_table_html(part)}</div>')


def on_phone(text: str) -> None:
    """A sentence that only a narrow screen shows."""
    st.html(f'<p class="on-phone">{escaped(text)}</p>')


def entries(part: Entries) -> None:
    """Things with their figures, and a sentence below each."""
    heads = ("", *part.heads)
    head = "".join(f'<th scope="col">{escaped(name)}</th>' for name in heads)
    body = "".join(
        f'<tr class="has-why">{_cells((each.name, *each.figures), frozenset())}</tr>'
        f'<tr class="why"><td colspan="{len(heads)}">{escaped(each.sentence)}</td></tr>'
        for each in part.entries
    )
    st.html(_table_frame(part.title, head if part.entries else "", body))
    if part.foot:
        st.caption(literal(part.foot))


@dataclass(frozen=True)
class Behind:
    """What a picture says, as tables behind a click.

    Parameters
    ----------
    parts
        The tables; none only where nothing is drawn.
    key
        Name of the click, the same whatever is drawn.
    label
        What stands on it.
    """

    parts: Page
    key: str
    label: str = "The table behind it"


def charts(drawn: Mapping[str, Any], behind: Behind, note: str = "") -> None:
    """Charts that can be saved, and the tables behind them.

    Parameters
    ----------
    drawn
        Charts by what each shows, in a sentence, for screen readers.
    behind
        The tables.
    note
        How to read them.
    """
    from optioneer.charts.screen import on_screen  # noqa: PLC0415 - pages without charts need it not

    with st.container():
        for meaning, one in drawn.items():
            st.vega_lite_chart(on_screen(one), width="stretch", theme=None, alt=literal(meaning))
        _draw_behind(behind, note)


def glance(told: Mapping[str, str]) -> None:
    """The figures that controls move; on a phone they stay in sight below the controls."""
    with st.container(key="glance", horizontal=True, gap="medium"):
        for label, figure in told.items():
            st.metric(label, figure, width="content")


def drawing(html: str, behind: Behind, note: str = "") -> None:
    """A picture made of our own shapes, its texts escaped, and the tables behind it."""
    with st.container():
        st.html(html)
        _draw_behind(behind, note)


def _draw_behind(behind: Behind, note: str) -> None:
    if note:
        st.caption(literal(note))
    with fold.under(behind.label, behind.key):
        page(behind.parts)


def sentence_of(fault: Fault | Question | OptioneerError) -> str:
    """What is wrong, with the names that the open case gives to its rows."""
    draft = state.session().draft
    told = fault_in_words(fault)
    return told if draft is None else references.by_kind(told, draft.texts)


def mistake(error: OptioneerError) -> None:
    """What cannot be done, in the words of the pages."""
    st.error(literal(sentence_of(error)), icon=":material/error:")


def faults(found: Sequence[Fault], *, title: str) -> None:
    """What is wrong, each in the words of the pages."""
    lines = "\n".join(f"- {literal(sentence_of(fault))}" for fault in found)
    st.error(f"{literal(title)}\n\n{lines}", icon=":material/error:")


def _table_html(part: Table) -> str:
    text = _text_columns(part)
    head = "".join(
        f'<th scope="col"{_text_class(place in text)}>{escaped(name)}</th>' if name else "<td></td>"
        for place, name in enumerate(part.heads)
    )
    heads = part.heads if len(part.rows) <= FEW and _letters(part) > NARROW else ()
    body = "".join(f"<tr>{_cells(row, text, heads)}</tr>" for row in part.rows)
    return _table_frame(part.title, head if any(part.heads) else "", body)


def _letters(part: Table) -> int:
    """How wide the columns beside the names want to be, without a break in a word or figure."""
    columns = zip(part.heads[1:], *(row[1:] for row in part.rows), strict=True)
    return sum(max(map(len, (*head.split(), *cells)), default=0) for head, *cells in columns)


def _text_columns(part: Table) -> frozenset[int]:
    """Columns that hold words: the last where it is said, and any without a single figure."""
    columns = enumerate(zip(*part.rows, strict=True))
    words = {place for place, cells in columns if not any(map(_FIGURE.match, cells))}
    return frozenset(words | ({len(part.heads) - 1} if part.text_last else set()))


def _cells(row: Sequence[str], text: frozenset[int], heads: Sequence[str] = ()) -> str:
    first, *others = row
    cells = "".join(
        f'<td class="{"text" if place in text else "figure"}"{_head_attribute(heads[place:])}>'
        f"{escaped(cell)}</td>"
        for place, cell in enumerate(others, 1)
    )
    kept = "; white-space: nowrap" if _DAY.fullmatch(first) else ""
    return f'<th scope="row" style="font-weight: 400{kept}">{escaped(first)}</th>{cells}'


def _head_attribute(heads: Sequence[str]) -> str:
    """What a phone says before a cell that it shows below the one before."""
    return f' data-head="{escaped(heads[0])}"' if heads else ""


def _text_class(text: bool) -> str:  # noqa: FBT001 - one flag of one cell
    return ' class="text"' if text else ""


def _table_frame(title: str, head: str, body: str) -> str:
    caption = f"<caption>{escaped(title)}</caption>" if title else ""
    top = f"<thead><tr>{head}</tr></thead>" if head else ""
    wide = body.count("<td") > WIDE * body.count("<tr")
    reached = ' tabindex="0"' if wide else ""
    stacks = " stacks" if wide and "data-head" in body else ""
    return (
        f'<div class="table-frame{stacks}"{reached}><table class="facts">{caption}{top}'
        f"<tbody>{body}</tbody></table></div>"
    )


_SHOWERS: dict[type, Callable[[Any], None]] = {
    Heading: heading,
    Section: section,
    Picture: picture,
    Paragraph: paragraph,
    Bullets: bullets,
    Table: table,
    Entries: entries,
}
