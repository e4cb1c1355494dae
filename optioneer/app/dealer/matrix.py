"""One matrix: options in the order of the quote, a column a package or quote, one to tick."""

from collections.abc import Collection, Mapping, Sequence
from functools import partial
from typing import Any

import pandas as pd
import streamlit as st

from optioneer.app.dealer.ticks import Clash, ticks_after, ticks_after_cures
from optioneer.app.engine.words import SAID, SIGNS, literal
from optioneer.app.parts import show
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.advice.answers import Advice

MINE, OPTION, PRICE, VERDICT, ONLY, MIND = (
    "mine",
    "option",
    "price",
    "verdict",
    "later",
    "to mind",
)
"""Columns that are always there."""

HELD, NEVER = "\u25cf", "now or never"
"""What says that a package holds an option, and that it cannot be had later."""

TALLEST, ROW = 900, 35
"""Height of the tallest matrix, and of a row [px]."""

LETTER, EDGE, WIDEST = 6.6, 26, 440
"""Width of a letter, of what is left and right of a text, and of the widest column [px]."""


def key(name: str) -> str:
    """A key of this draft's own package."""
    return f"own-{state.required_draft().id}-{name}"


def ticks(start: Collection[str]) -> frozenset[str]:
    """What is ticked: what was noted last, else what it starts from."""
    noted = state.last_note(key("held"))
    return frozenset(start if noted is None else noted)


def set_ticks(options: Collection[str]) -> None:
    """Tick these and no others; the matrix is drawn anew."""
    state.note(key("held"), sorted(options))
    state.set_widget(key("version"), _version() + 1)


def _version() -> int:
    return int(state.widget(key("version")) or 0)


def columns_of(
    case: Case, advice: Advice, quotes: Sequence[Case]
) -> Mapping[str, Mapping[str, str]]:
    """What each package or quote says of each option, by what people call it."""
    orders = Orders(case.catalogue)
    packages = {"Advice": frozenset(advice.advised.options)}
    packages |= {
        one.name or one.id: frozenset(everything_fitted(orders, one)) for one in case.packages
    }
    told: dict[str, Mapping[str, str]] = {
        name: {option: HELD if option in inside else "" for option in case.catalogue.by_id}
        for name, inside in packages.items()
    }
    for quote in quotes:
        figures = state.figures(quote.machine.currency)
        known = quote.catalogue.by_id
        told[quote.name] = {
            option: _price_text(known[option], figures) if option in known else "not offered"
            for option in case.catalogue.by_id
        }
    return told


def _price_text(option: Any, figures: Figures) -> str:
    return "standard" if option.standard else figures.quoted(option.price)


def differing(columns: Mapping[str, Mapping[str, str]], options: Sequence[str]) -> list[str]:
    """Options of which not every column says the same."""
    return [one for one in options if len({told[one] for told in columns.values()}) > 1]


def matrix_rows(
    case: Case,
    advice: Advice,
    columns: Mapping[str, Mapping[str, str]],
    found: Collection[Clash],
    figures: Figures,
) -> dict[str, dict[str, str]]:
    """The words of every option's row."""
    verdicts = {one.option: one for one in advice.options}
    mind: dict[str, list[str]] = {}
    for clash in found:
        mind.setdefault(clash.option, []).append(clash.said.partition(":")[0])  # cures stand above
    rows = {}
    for name, option in case.catalogue.by_id.items():
        answer = verdicts[name]
        close = ", close" if answer.close_call else ""
        rows[name] = {
            OPTION: option.name,
            PRICE: _price_text(option, figures),
            VERDICT: f"{SIGNS[answer.verdict]} {SAID[answer.verdict]}{close}",
            ONLY: "" if option.retrofittable or option.standard else NEVER,
            MIND: "; ".join(mind.get(name, ())),
            **{title: told[name] for title, told in columns.items()},
        }
    return rows


def draw(
    case: Case,
    rows: Mapping[str, Mapping[str, str]],
    shown: Sequence[str],
    ticked: frozenset[str],
    titles: Sequence[str],
) -> None:
    """The grid; a tick is taken at once."""
    st.caption(literal(" \u00b7 ".join(f"{n} {title}" for n, title in enumerate(titles, 1))))
    grid = key(f"matrix-{_version()}-{len(shown)}")
    if state.widget(f"{grid}-base") is None:
        state.set_widget(f"{grid}-base", ticked)
    base: frozenset[str] = state.widget(f"{grid}-base")
    order = [MINE, OPTION, PRICE, VERDICT, *titles, ONLY, MIND]
    show.on_phone("Price, verdict, packages and what to mind stand further right: push the table.")
    show.on_paper(paper_table(rows, shown, ticked, titles))
    frame = pd.DataFrame([{MINE: one in base, **rows[one]} for one in shown], columns=order)
    st.container(key="ticks").data_editor(
        frame,
        key=grid,
        hide_index=True,
        num_rows="fixed",
        width="stretch",
        height=min(TALLEST, ROW * (len(frame) + 1) + 3),
        disabled=order[1:],
        column_config=_heads(frame, titles),
        on_change=partial(_take_ticks, case, grid, tuple(shown)),
        alt=f"{len(frame)} options; the first column is ticked for a package of your "
        "own. Space ticks; Escape, then Tab leaves the table.",
    )


def paper_table(
    rows: Mapping[str, Mapping[str, str]],
    shown: Sequence[str],
    ticked: Collection[str],
    titles: Sequence[str],
) -> Table:
    """The matrix as paper shows it, what is ticked included."""
    heads = (OPTION, PRICE, VERDICT, *titles, ONLY, MIND)
    body = tuple(
        (rows[one][OPTION], HELD if one in ticked else "", *(rows[one][head] for head in heads[1:]))
        for one in shown
    )
    numbers = tuple(map(str, range(1, len(titles) + 1)))
    return Table("", (OPTION, MINE, PRICE, VERDICT, *numbers, ONLY, MIND), body, text_last=True)


def _heads(frame: pd.DataFrame, titles: Sequence[str]) -> dict[str, Any]:
    """How the columns look; those of packages are headed by their numbers, names stand above."""
    text = st.column_config.TextColumn
    packages = {
        title: text(
            str(number), help=literal(title), width=_width(frame[title]), alignment="center"
        )
        for number, title in enumerate(titles, 1)
    }
    return packages | {
        MINE: st.column_config.CheckboxColumn(MINE, pinned=True, width=75),
        OPTION: text(OPTION, width=_width(frame[OPTION])),
        PRICE: text(PRICE, width=90, alignment="right"),
        VERDICT: text(VERDICT, width=165),
        MIND: text(MIND, width=280),
        ONLY: text(ONLY, width=105, help="What cannot be had later."),
    }


def _width(cells: "pd.Series[str]") -> int:
    """How wide a column must be for the longest of its cells [px]."""
    return round(min(WIDEST, EDGE + LETTER * max(2, int(cells.str.len().max()))))


def _take_ticks(case: Case, grid: str, shown: tuple[str, ...]) -> None:
    """Take what was ticked; where something gave way to it the matrix is drawn anew."""
    base: frozenset[str] = state.widget(f"{grid}-base")
    before = ticks(base)
    record = state.widget(grid)["edited_rows"]
    edits = {shown[int(row)]: bool(cells[MINE]) for row, cells in record.items() if MINE in cells}
    out = before - set(shown)
    after = ticks_after(Orders(case.catalogue), base - out, before - out, edits) | out
    plain = {one for one in base if edits.get(one, True)} | {o for o, on in edits.items() if on}
    state.note(key("held"), sorted(after))
    if after != plain | out:
        set_ticks(after)


def cure(ticked: frozenset[str], found: Collection[Clash]) -> None:
    """A button that does all cures at once."""
    st.button(
        "Cure it",
        key="cure",
        on_click=lambda: set_ticks(ticks_after_cures(ticked, found)),
        help="Tick what is needed, take away what cannot stand with it.",
    )
