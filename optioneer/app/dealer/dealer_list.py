"""A dealer's list of prices taken into the case, with what its lines mean settled on the page."""

from collections.abc import Mapping

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.parts import fold, show
from optioneer.app.session import state
from optioneer.errors import CaseError, OptioneerError
from optioneer.files.case.write import case_texts
from optioneer.files.quote.mapping import MACHINE, SKIP, QuoteMapping
from optioneer.files.quote.proposal import Proposal, proposal, with_quote
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Table
from optioneer.study.dealer.quote_lines import PlacedLine

KINDS = ("csv", "txt", "xlsx")
"""Endings of lists."""

MARKS = {"": "as the list shows it", ".": "a point", ",": "a comma"}
"""Decimal marks by what people call them."""

COLUMNS = {"name": "Heading of the column of names", "price": "Heading of the column of prices"}
"""Columns that can be told by their headings."""


def draw(case: Case, figures: Figures) -> None:
    """Take a list, say what it means, settle what is open, then take its prices in."""
    with fold.under("Take in a dealer's list of prices", "list"):
        given = st.file_uploader(
            "The list: a workbook, or a table as text", type=list(KINDS), key="list-upload"
        )
        if given is None:
            st.caption("Nothing of it enters the case before you have seen what each line means.")
            return
        try:
            _settle(case, given.getvalue(), given.name, figures)
        except CaseError as error:
            show.faults(error.faults, title="This list cannot be read.")
        except OptioneerError as error:
            show.mistake(error)


def _settle(case: Case, data: bytes, name: str, figures: Figures) -> None:
    decimal, columns = _read_how()
    first = proposal(data, case, name=name, mapping=QuoteMapping(decimal, columns))
    lines = _lines(case, first)
    told = QuoteMapping(decimal, columns, lines) if lines else first.mapping
    if lines:
        told = QuoteMapping(
            decimal, {**first.mapping.columns, **columns}, {**first.mapping.lines, **lines}
        )
    found = proposal(data, case, name=name, mapping=told) if lines else first
    _show_changes(case, found, figures)
    count = len(found.answer.changes)
    st.button(
        f"Take in {count} price{'' if count == 1 else 's'}",
        key="list-take",
        disabled=bool(found.answer.questions) or not count,
        on_click=lambda: _take(case, found),
    )


def _read_how() -> tuple[str, Mapping[str, str]]:
    """How the list is to be read, where it is not clear by itself."""
    left, *others = st.columns(3)
    decimal = left.selectbox(
        "Decimal mark of its prices", list(MARKS), format_func=MARKS.__getitem__, key="list-mark"
    )
    typed = {
        kind: column.text_input(label, key=f"list-{kind}", placeholder="found by itself")
        for column, (kind, label) in zip(others, COLUMNS.items(), strict=True)
    }
    return str(decimal), {kind: text.strip() for kind, text in typed.items() if text.strip()}


def _lines(case: Case, found: Proposal) -> dict[str, str]:
    """What lines mean that the list itself does not settle; by the text of the line."""
    names = {SKIP: "leave it out", MACHINE: "the machine itself"}
    names |= {one.option: one.name for one in case.catalogue.options}
    settled = {}
    for place, (text, guess) in enumerate(found.guesses.items()):
        choices = list(names)
        chosen = st.selectbox(
            literal(f"'{text}' means"),
            choices,
            index=choices.index(guess) if guess in names else None,
            format_func=names.__getitem__,
            placeholder="not settled",
            key=f"list-line-{place}-{text}",
        )
        if chosen is not None:
            settled[text] = str(chosen)
    return settled


def _show_changes(case: Case, found: Proposal, figures: Figures) -> None:
    """What changes, and what is still to be answered."""
    answer = found.answer
    if answer.questions:
        show.show(Bullets("To be answered first", answer.questions))
    rows = tuple(_row(case, one, figures) for one in answer.placed)
    if rows:
        heads = ("row", "option", "in the case", "in the list", "line")
        show.show(Table("What its lines mean", heads, rows, text_last=True))
    left = tuple(f"row {one.row}, {one.text}: {one.why}" for one in answer.unplaced)
    if left:
        show.show(Bullets("Lines that mean no option of the case", left))
    names = tuple(case.catalogue.by_id[one].name for one in answer.not_quoted)
    if names:
        show.show(Bullets("Options that no line means", names))


def _row(case: Case, line: PlacedLine, figures: Figures) -> tuple[str, ...]:
    known = case.catalogue.by_id
    name = known[line.option].name if line.option in known else "the machine itself"
    after = "included" if line.after is None else figures.quoted(line.after)
    return (str(line.row), name, figures.quoted(line.before), after, line.text)


def _take(case: Case, found: Proposal) -> None:
    """The prices of the list become those of the case; it can be undone."""
    stated = state.read().stated or case
    try:
        changed = with_quote(stated, found.answer)
        state.put_texts(case_texts(changed, state.required_draft().texts), redraw=True)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
    else:
        state.tell(f"{len(found.answer.changes)} prices of the list are now in the case.")
