"""The answer in one glance: what to order, its price, what it leaves, and how sure that is."""

import streamlit as st

from optioneer.app.engine.words import escaped
from optioneer.app.parts.scale import MarkedLine
from optioneer.model.case import Case
from optioneer.reports.advice.summary import what_to_order
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice
from optioneer.study.worth.outcome import Outcome

ROOM = 0.06
"""Room left and right of a strip, as a share of what it spans."""


def draw(case: Case, advice: Advice, figures: Figures) -> None:
    """The sentence to read first, four figures, and the strip of the outcome."""
    best = advice.advised
    years = figures.number(case.growth.horizon_years)
    told = (
        ("Price", figures.quoted(best.price), "with the order, machine and options"),
        (f"Net present cost, {years} years", figures.amount(best.npc), _error(advice, figures)),
        ("Outcome on average", figures.amount(best.outcome.mean), gain(advice, figures)),
        ("How sure", *certainty(advice, figures)),
    )
    cells = "".join(
        f"<div><dt>{escaped(label)}</dt><dd><b>{escaped(figure)}</b>"
        f"<small>{escaped(aside)}</small></dd></div>"
        for label, figure, aside in told
    )
    st.html(
        f'<div class="lead"><p class="order">{escaped(what_to_order(case, advice, figures))}</p>'
        f'<dl class="figures">{cells}</dl>{strip(best.outcome, figures)}</div>'
    )


def _error(advice: Advice, figures: Figures) -> str:
    return (
        f"± {figures.number(advice.advised.npc_se, 0)} on {figures.number(advice.futures)} futures"
    )


def gain(advice: Advice, figures: Figures) -> str:
    """What buying leaves more or less than not buying, and how often it leaves less."""
    outcome = advice.advised.outcome
    than = outcome.mean - outcome.not_buying
    word = "more" if than >= 0 else "less"
    share = figures.share(outcome.worse_than_not_buying)
    return f"{figures.amount(abs(than))} {word} than not buying; worse in {share} of futures"


def certainty(advice: Advice, figures: Figures) -> tuple[str, str]:
    """How near the advice is proven to be to the best, and how many calls are close."""
    close = sum(answer.close_call for answer in advice.options)
    calls = f"{close} too close to call" if close else "no call is close"
    if advice.proof is not None:
        gap = figures.amount(max(advice.proof.gap, 0.0))
        return f"within {gap}", f"of the best that anyone could do; {calls}"
    if advice.search is not None and advice.search.gap is not None:
        gap = figures.amount(max(advice.search.gap, 0.0))
        return f"within {gap}", f"of any other package; {calls}"
    settled = len(advice.options) - close
    return f"{settled} of {len(advice.options)} settled", calls


def strip(outcome: Outcome, figures: Figures) -> str:
    """Where the outcome lies, bad years to good ones, and where not buying would lie."""
    marks = (outcome.worst_tenth, outcome.p10, outcome.p90, outcome.not_buying)
    room = ROOM * (max(marks) - min(marks))
    span = MarkedLine(min(marks) - room, max(marks) + room)
    low, high = span.at(outcome.p10), span.at(outcome.p90)
    named = (
        ("worst", "average of the worst tenth", outcome.worst_tenth),
        ("low", "one future in ten below", outcome.p10),
        ("middle", "middle future", outcome.p50),
        ("mean", "average", outcome.mean),
        ("high", "one in ten above", outcome.p90),
        ("none", "not buying", outcome.not_buying),
    )
    drawn = "".join(
        f'<i class="{kind}" style="left:{span.at(value):.2f}%"></i>' for kind, _, value in named
    )
    key = "".join(
        f'<span><i class="{kind}"></i>{escaped(f"{name} {figures.amount(value)}")}</span>'
        for kind, name, value in named
    )
    bar = f'<i class="range" style="left:{low:.2f}%;width:{high - low:.2f}%"></i>'
    return (
        '<p class="strip-title">What the shop has in the end: margin earned less all that is '
        f'paid</p><div class="strip" aria-hidden="true">{bar}{drawn}</div>'
        f'<div class="strip-key">{key}</div>'
    )
