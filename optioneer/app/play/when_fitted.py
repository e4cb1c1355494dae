"""When what waits is likely to be fitted: a row an option, a cell a year, darker where likelier."""

from collections.abc import Sequence
from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import escaped
from optioneer.app.session import waiting
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.retrofits import ALL, Band
from optioneer.study.worth.packages import package_holding

FAINTEST = 0.005
"""Chances below this are no cell."""


def draw(case: Case, advice: Advice, figures: Figures) -> None:
    """The years of every option that is left for a retrofit."""
    waits = {one.option for one in advice.options if one.verdict == "leave for retrofit"}
    if not waits:
        return
    st.subheader("When what waits is likely to be fitted")
    package = package_holding(case, "advised", advice.advised.options)
    reply = waiting.reply_to(
        ("bands", cached.content(case), package.options, package.without),
        partial(cached.bands, case, package),
        place="fitted",
        about=case,
    )
    waiting.progress(reply, "Looking at when retrofits come")
    if reply.answer is not None:
        bands = [band for band in reply.answer if band.option in waits]
        with waiting.dimmed("fitted", dim=reply.alive):
            st.html(timeline(reply.about, bands, figures))
            st.caption(
                "Share of futures in which it is fitted in that year after first chips; darker is "
                "likelier. What is not in the list is fitted in none."
            )


def timeline(case: Case, bands: Sequence[Band], figures: Figures) -> str:
    """A table of chances by option and year, shaded; it is a picture and its own table."""
    years = sorted({band.start for band in bands if band.option != ALL})
    options = dict.fromkeys(band.option for band in bands if band.option != ALL)
    sums = {one: sum(band.chance for band in bands if band.option == one) for one in options}
    head = "".join(f'<th scope="col">{place}</th>' for place in range(1, len(years) + 1))
    top = max((band.chance for band in bands), default=1.0) or 1.0
    body = ""
    for option in sorted(options, key=lambda one: -sums[one]):
        found = {band.start: band.chance for band in bands if band.option == option}
        cells = "".join(_cell(found.get(year, 0.0), top, figures) for year in years)
        name, total = escaped(case.catalogue.by_id[option].name), figures.share(sums[option])
        body += f'<tr><th scope="row">{name}</th>{cells}<td>{total}</td></tr>'
    return (
        '<div class="table-frame" tabindex="0"><table class="facts years"><thead><tr>'
        '<th scope="col">fitted in '
        f'year</th>{head}<th scope="col">ever</th></tr></thead><tbody>{body}</tbody></table></div>'
    )


def _cell(chance: float, top: float, figures: Figures) -> str:
    if chance < FAINTEST:
        return "<td></td>"
    shade = round(10 + 60 * chance / top)
    ground = f"background: color-mix(in srgb, #b08a1e {shade}%, transparent)"
    return f'<td style="{ground}">{escaped(figures.share(chance))}</td>'
