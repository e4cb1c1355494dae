"""The case: every table of it in a grid, what is wrong with it, and where it is kept."""

from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

import streamlit as st

from optioneer.app.apart.reading import Read
from optioneer.app.engine.amounts import share_typed
from optioneer.app.engine.heads import PARTS
from optioneer.app.engine.words import literal
from optioneer.app.parts import fold, grid, mending, references, saving, show, where_from
from optioneer.app.session import state
from optioneer.errors import Fault, OptioneerError, Question
from optioneer.files.case.texts import archive
from optioneer.files.grid.sheet_list import GROUPS
from optioneer.files.grid.sheets import Edits, columns_in, currency_of, rows, with_edits
from optioneer.files.saving.commit import NAMES
from optioneer.forms.schema import FormTable
from optioneer.model.checks.doubts import doubts
from optioneer.reports.sheets.entry import entry_workbook

CHANCE = "chance"
"""A share that may be given as a range, so that no bound tells it."""

AS_TEXT = "As text"
"""The part that shows whole files."""


def page() -> None:
    """A part of the case to edit, then what is wrong, then where to keep it."""
    read = state.read()
    _status(read)
    part = st.segmented_control(
        "Part of the case",
        [*GROUPS, AS_TEXT],
        default=next(iter(GROUPS)),
        required=True,
        key="part",
        format_func=_with_mark,
        persist_state="session",
    )
    if part == AS_TEXT:
        state.leave_grid()
        _texts(read)
    else:
        _sheet(_chosen(str(part)), read)
    _others(read)
    _keeping()


def _status(read: Read) -> None:
    if not read.faults:
        st.success("No faults.", icon=":material/check_circle:")
        return
    count = len(read.faults)
    noun = "fault" if count == 1 else "faults"
    st.warning(
        f"{count} {noun} to mend. Nothing typed is lost; once mended, there is advice again.",
        icon=":material/warning:",
    )


def _with_mark(part: str) -> str:
    """The name of a part, with a mark where something in its files is unsaved."""
    files = {sheet.file for sheet in GROUPS.get(part, ())}
    return f"{part} *" if files & state.required_draft().changed_files else part


def _chosen(part: str) -> FormTable:
    sheets = {sheet.word: sheet for sheet in GROUPS[part]}
    if len(sheets) == 1:
        return next(iter(sheets.values()))
    word = st.pills(
        "Table",
        list(sheets),
        default=next(iter(sheets)),
        required=True,
        key=f"table-{part}",
        format_func=lambda word: sheets[word].title,
        persist_state="session",
    )
    return sheets[str(word)]


def _sheet(sheet: FormTable, read: Read) -> None:
    base = state.base_for(sheet.word, currency_of(state.required_draft().texts))
    try:
        cells = rows(sheet, base.texts)
    except OptioneerError as error:
        st.error(f"{literal(show.sentence_of(error))}\n\nMend it under '{AS_TEXT}'.")
        return
    now = rows(sheet, state.required_draft().texts)
    wrong = mending.to_mend(sheet, now, read.faults)
    st.subheader(sheet.title)
    if wrong and sheet.many:
        show.show(mending.table(now, wrong))
    grid.draw(
        sheet,
        cells,
        currency=base.currency,
        texts=base.texts,
        wrong=wrong,
        key=_key(base),
        on_change=partial(_take_edits, sheet, base),
    )
    if references.named_anew(sheet, base.texts, state.required_draft().texts):
        st.button(
            "Offer new names in the lists",
            key="names-anew",
            on_click=state.redraw,
            help="Rows that were added or called otherwise since this table was drawn.",
        )
    where_from.in_the_grid(sheet.file)


def _key(base: state.Base) -> str:
    return f"sheet-{base.sheet}-{base.version}"


def _take_edits(sheet: FormTable, base: state.Base) -> None:
    """Take what was typed into the draft, as changes to what the grid was drawn from."""
    if base.version != state.session().version:
        state.tell("The table was drawn anew while you typed; type the last change again.")
        return
    try:
        edits = edits_of(sheet, state.widget(_key(base)), base.texts)
        texts = with_edits(sheet, base.texts, edits)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
        state.redraw()
        return
    state.put_texts(texts)


def edits_of(sheet: FormTable, record: Mapping[str, Any], texts: Mapping[str, str]) -> Edits:
    """What a grid drawn from `texts` tells of its changes, as edits of a sheet."""
    shares, columns = shares_of(sheet), columns_in(sheet)

    def text(row: Mapping[str, Any], place: int = 0) -> dict[str, str]:
        cells = {key: _text(value) for key, value in row.items()}
        if not sheet.many:
            figure = columns[place].key
            cells = {
                key: references.shorts_kept(sheet, figure, cell, texts)
                for key, cell in cells.items()
            }
        return {
            key: share_typed(cell)
            if (key if sheet.many else columns[place].key) in shares
            else cell
            for key, cell in cells.items()
            if key != grid.MEANING
        }

    added = record.get("added_rows", []) if sheet.many else []
    edited = {int(place): row for place, row in record.get("edited_rows", {}).items()}
    return Edits(
        changed={place: text(row, place) for place, row in edited.items()},
        added=[text(row) for row in added],
        removed=[int(place) for place in record.get("deleted_rows", [])],
    )


def _text(value: Any) -> str:
    """What a cell states, as text: rows that were chosen by their short names."""
    if isinstance(value, list):
        return references.joined([str(one) for one in value])
    return "" if value is None else str(value)


def shares_of(sheet: FormTable) -> frozenset[str]:
    """The columns of a sheet that hold shares or rates: what is at most the whole."""
    fields = {
        known.alias or name: known
        for model in sheet.models
        for name, known in model.model_fields.items()
    }
    whole = {
        name
        for name, known in fields.items()
        if name == CHANCE or any(getattr(bound, "le", None) == 1 for bound in known.metadata)
    }
    return frozenset(one.key for one in columns_in(sheet) if one.field in whole)


def _texts(read: Read) -> None:
    """The files themselves."""
    name = st.pills(
        "Written out",
        NAMES,
        default=NAMES[0],
        required=True,
        key="file",
        format_func=PARTS.__getitem__,
    )
    here = [fault for fault in read.faults if fault.where.startswith(str(name))]
    if here:
        st.error("\n".join(f"- {literal(str(fault))}" for fault in here))  # keys stand below
    key = f"text-{name}-{state.session().version}"
    st.text_area(
        f"{PARTS[str(name)]}, written out",
        value=state.required_draft().texts.get(str(name), ""),
        height=560,
        key=key,
        on_change=lambda: _take_text(str(name), key),
    )


def _take_text(name: str, key: str) -> None:
    texts = dict(state.required_draft().texts)
    texts[name] = str(state.widget(key))
    if not texts[name].strip():
        texts.pop(name)
    state.put_texts(texts)


def _others(read: Read) -> None:
    """Faults and notices of the whole case."""
    if read.faults:
        with fold.under(f"All faults of the case ({len(read.faults)})", "faults"):
            _list(read.faults)
    if read.notices:
        with fold.under(f"To know ({len(read.notices)})", "notices"):
            _list(read.notices)
    asked = () if read.stated is None else doubts(read.stated)
    if asked:
        with fold.under(f"Is that meant? ({len(asked)})", "doubts", expanded=True):
            _list(asked)


def _list(found: Sequence[Fault | Question]) -> None:
    st.markdown("\n".join(f"- {literal(show.sentence_of(each))}" for each in found))


def _keeping() -> None:
    """Where the case is kept, and taking it along."""
    draft = state.required_draft()
    st.subheader("Keeping it")
    where = "in no folder yet" if draft.folder is None else f"in {draft.folder}"
    st.markdown(literal(f"This case is {where}. Changes are kept on this machine as you type."))
    left, right = st.columns(2)
    if state.folders_allowed():
        with left:
            saving.draw("Save into another folder")
    stated = state.read().stated
    if stated is not None:
        right.download_button(
            "Download as a workbook to fill in",
            data=lambda: entry_workbook(stated),
            file_name="case.xlsx",
            key="download-workbook",
            on_click="ignore",
        )
    right.download_button(
        "Download the case",
        data=lambda: archive(draft.texts),
        file_name="case.zip",
        mime="application/zip",
        key="download-case",
        on_click="ignore",
    )
