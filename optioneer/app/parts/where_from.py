"""Where figures are from: how much rests on quotes, on what was told, on what is usual."""

from collections.abc import Mapping
from typing import TYPE_CHECKING

import streamlit as st

from optioneer.app.engine.words import escaped
from optioneer.app.parts import fold
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.sources import STANDINGS, Standing, figures, origins, rests
from optioneer.reports.advice.provenance import SAID
from optioneer.reports.asking.beliefs import said_of
from optioneer.reports.page.money import Figures

if TYPE_CHECKING:
    from pandas import DataFrame

OF_FILE: Mapping[str, tuple[str, ...]] = {
    "machine.toml": ("machine", "hours", "dates", "call_out", "bundle"),
    "options.csv": ("option",),
    "growth.toml": ("growth", "driver", "stream"),
    "paying.toml": ("paying",),
    "site.toml": ("site",),
}
"""Whose figures are kept in which file."""

TALLEST, ROW = 420, 35
"""Height of the tallest list of figures, and of a row [px]."""


def tells_sources(case: Case) -> bool:
    """Whether a case says of anything where it is from."""
    return case.sources is not None or any(option.kind for option in case.catalogue.options)


def draw(case: Case, written: Figures) -> None:
    """How much of an answer rests on which: figures, prices, expected margins."""
    if not tells_sources(case):
        return
    found = rests(case)
    st.subheader("What this rests on")
    rows = {
        "figures": {one: float(rest.figures) for one, rest in found.items()},
        "prices": {one: rest.prices for one, rest in found.items()},
        "expected margins": {one: rest.margins for one, rest in found.items()},
    }
    st.html(bars(rows, written))


def example_sentence(case: Case) -> str:
    """That an advice is an example, where figures of its case are invented; '' where none is."""
    found = rests(case) if tells_sources(case) else {}
    if "example" not in found:
        return ""
    every = sum(rest.figures for rest in found.values())
    return (
        f"This advice is an example: {found['example'].figures} of {every} figures are invented. "
        "Put your own in their place on 'The case'."
    )


def of_part(case: Case, file: str, written: Figures) -> None:
    """Where the figures of one part of the case are from, the part of a file: a bar and a list."""
    own = {
        key: source
        for key, source in origins(case).items()
        if key.split("/", maxsplit=1)[0] in OF_FILE.get(file, ())
    }
    if not own or not tells_sources(case):
        return
    counts = {one: float(sum(s == one for s in own.values())) for one in STANDINGS}
    st.html(bars({"figures here": {one: count for one, count in counts.items() if count}}, written))
    with fold.under(f"Where each of these figures is from ({len(own)})", f"from-{file}"):
        frame = _source_table(case, own, written)
        st.dataframe(
            frame,
            hide_index=True,
            width="stretch",
            height=min(TALLEST, ROW * (len(frame) + 1)),
            alt=f"Where {len(frame)} figures are from, who said them, and when.",
        )


def _source_table(case: Case, own: Mapping[str, Standing], written: Figures) -> "DataFrame":
    from pandas import DataFrame  # noqa: PLC0415 - the first page draws bars alone

    texts = figures(case)
    last = {(one.key, one.value): one for one in case.sources or ()}
    rows = []
    for key, source in own.items():
        word = last.get((key, texts[key]))
        label, value = said_of(case, key, texts[key], written)
        who = "" if word is None else word.who
        day = "" if word is None or word.date is None else word.date.isoformat()
        rows.append((label, value, SAID[source], who, day))
    return DataFrame(rows, columns=["figure", "is", "from", "who", "on"], dtype="str")


def bars(rows: Mapping[str, Mapping[Standing, float]], written: Figures) -> str:
    """Bars whose parts are sources, each part also said in words, so that no colour is needed."""
    drawn = "".join(_bar(label, parts, written) for label, parts in rows.items())
    return f'<div class="rests">{drawn}</div>'


def _bar(label: str, parts: Mapping[Standing, float], written: Figures) -> str:
    whole = sum(parts.values())
    if not whole:
        return ""
    told = [(one, parts[one] / whole) for one in STANDINGS if parts.get(one)]
    strips = "".join(f'<i class="{one}" style="width:{100 * x:.3f}%"></i>' for one, x in told)
    words = "".join(
        f'<span><i class="{one}"></i>{escaped(written.share(x))} {escaped(SAID[one])}</span>'
        for one, x in told
    )
    return f"<p>Of the {escaped(label)}</p><div>{strips}</div><small>{words}</small>"


def warn_of_examples(case: Case) -> None:
    """Say above an advice that it is an example, where it is one."""
    told = example_sentence(case)
    if told:
        st.warning(told, icon=":material/science:")


def in_the_grid(file: str) -> None:
    """The same as `of_part` for the case that is open, if it can be read."""
    stated = state.read().stated
    if stated is not None:
        of_part(stated, file, state.figures(stated.machine.currency))
