"""For the owner: play with what may come and see which verdicts turn."""

from collections.abc import Mapping, Sequence
from functools import partial

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import SAID, SIGNS
from optioneer.app.parts import fold, hours_view, show
from optioneer.app.play import (
    figures_to_play,
    pairs,
    ranges_view,
    settings_kept,
    strips,
    turning_view,
    when_fitted,
)
from optioneer.app.play.figures_to_play import Slider
from optioneer.app.play.pairs import Pair
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.files.case.write import case_texts
from optioneer.model.case import Case
from optioneer.reports.advice.finding_out import learning_table
from optioneer.reports.advice.summary import close_calls, how_sure, likeliest, what_to_order
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Paragraph, Table
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.study.worth.changes import Asked, with_changes

JUST_NOW = "just now"
"""Said of verdicts that turned with the last move of a slider."""


def page() -> None:
    """Sliders on the left; what they do to the verdicts on the right."""
    read = state.read()
    if read.case is None or read.stated is None:
        show.faults(read.faults, title="Mend the case first, on the page 'The case'.")
        return
    case = read.case
    show.show(Heading(f"{case.machine.name}: what if"))
    left, right = st.columns([1, 2], gap="large")
    with left:
        asked, sliders = _sliders_and_changes(case, read.stated)
    with right:
        try:
            changed = with_changes(case, asked)[0] if asked else case
        except OptioneerError as error:
            show.mistake(error)
            return
        _draw_answer(case, changed, asked)
    figures = state.figures(case.machine.currency)
    settings_kept.draw(case, asked, sliders, figures)
    turning_view.draw(changed, figures)
    ranges_view.draw(changed, figures)


def _sliders_and_changes(case: Case, stated: Case) -> tuple[tuple[Asked, ...], Sequence[Slider]]:
    """What the sliders say, and the sliders."""
    st.caption(
        "How strongly each of the first comes true: 0 as usual, +1 as strong as in one future of "
        "six or stronger, -1 as weak as in one of six or weaker."
    )
    asked = list(figures_to_play.chosen(main := figures_to_play.drivers(case)))
    asked += figures_to_play.chosen(more := figures_to_play.of_the_case(case))
    others = figures_to_play.pickable(case)
    key = f"picked-{state.required_draft().id}"
    state.recall(key, lambda names: set(names) <= set(others))
    picked = st.multiselect(
        "Also change a chance, margin, multiplier or price",
        list(others),
        key=key,
        persist_state="session",
    )
    state.note(key, list(picked))
    chosen = [others[name] for name in picked]
    asked += figures_to_play.chosen(chosen)
    sliders: Sequence[Slider] = [*main, *more, *chosen]
    st.button(
        "Back to the case",
        key="reset",
        disabled=not asked,
        on_click=partial(figures_to_play.reset, sliders),
        width="stretch",
    )
    st.button(
        "Keep in the case",
        key="keep",
        disabled=not asked,
        on_click=partial(_keep, stated, tuple(asked), sliders),
        help="Write these figures into the case; it can be undone.",
        width="stretch",
    )
    return tuple(asked), sliders


def _keep(stated: Case, asked: tuple[Asked, ...], sliders: Sequence[Slider]) -> None:
    """The figures of the sliders become those of the case; multiples of it begin anew."""
    try:
        changed = with_changes(stated, asked)[0]
        state.put_texts(case_texts(changed, state.required_draft().texts), redraw=True)
    except OptioneerError as error:
        state.tell(show.sentence_of(error))
    else:
        figures_to_play.reset([slider for slider in sliders if slider.times])


def _draw_answer(case: Case, changed: Case, asked: tuple[Asked, ...]) -> None:
    reply = waiting.reply_to(
        ("owner", cached.content(case), cached.content(changed)),
        partial(pairs.sketched_pair, case, changed),
        partial(pairs.whole_pair, case, changed),
        place="owner",
        about=(case, changed),
    )
    pair: Pair | None = reply.answer
    waiting.progress(reply, f"Refining on {case.growth.futures:,} futures")
    if pair is None:
        return
    figures = state.figures(case.machine.currency)
    _, played = reply.about
    with waiting.dimmed("owner", dim=reply.alive):
        last = _last_verdicts(cached.content(played), pair.after)
        _headline(played, pair, figures, final=not reply.preview)
        show.show(turned_table(played, pair, figures, last))
        with fold.under("All verdicts", "verdicts"):
            show.show(verdict_table(played, pair, figures, last))
    strips.draw(case, asked, figures)
    with waiting.dimmed("owner-below", dim=reply.alive):
        when_fitted.draw(played, pair.after, figures)
        hours_view.draw(pair.after, figures)
        _grounds(played, pair.after, figures)


def _last_verdicts(key: str, advice: Advice) -> Mapping[str, str]:
    """The verdicts of the setting before this one, and note this one's."""
    verdicts = {each.option: each.verdict for each in advice.options}
    settings = [one for one in state.session().settings if one[0] != key]
    state.change(settings=(*settings[-1:], (key, verdicts)))
    return settings[-1][1] if settings else verdicts


def _headline(case: Case, pair: Pair, figures: Figures, *, final: bool) -> None:
    after = pair.after
    kind = "the full answer" if final else "a preview"
    st.caption(f"On {after.futures:,} futures: {kind}.")
    show.show(Paragraph(what_to_order(case, after, figures), strong=True))
    gap = after.advised.npc - pair.before.advised.npc
    show.glance(
        {
            "Price": figures.quoted(after.advised.price),
            "Net present cost": figures.amount(after.advised.npc),
            "Against the case as it is": figures.amount(gap),
        }
    )
    show.show(Paragraph(keeping(pair, figures)))


def keeping(pair: Pair, figures: Figures) -> str:
    """What ordering as advised on the case as it is would cost if it came as played with."""
    if pair.kept.options == pair.after.advised.options:
        return "The package advised on the case as it is stays the best."
    dearer = figures.amount(pair.kept.npc - pair.after.advised.npc)
    return f"Ordering as advised on the case as it is would then cost {dearer} more."


def turned_table(case: Case, pair: Pair, figures: Figures, last: Mapping[str, str]) -> Table:
    """Options whose verdict is not that of the case as it is, or turned just now."""
    turned = [
        (before, after)
        for before, after in zip(pair.before.options, pair.after.options, strict=True)
        if before.verdict != after.verdict or last.get(after.option) != after.verdict
    ]
    title = f"Verdicts that turn ({len(turned)})" if turned else "No verdict turns"
    return _table(case, title, turned, figures, last)


def verdict_table(case: Case, pair: Pair, figures: Figures, last: Mapping[str, str]) -> Table:
    """Every option, in the order of the catalogue."""
    both = list(zip(pair.before.options, pair.after.options, strict=True))
    return _table(case, "", both, figures, last)


def _table(
    case: Case,
    title: str,
    both: Sequence[tuple[OptionAnswer, OptionAnswer]],
    figures: Figures,
    last: Mapping[str, str],
) -> Table:
    rows = tuple(
        (
            case.catalogue.by_id[after.option].name,
            verdict_with_shape(before.verdict),
            verdict_with_shape(after.verdict),
            _other(after, figures),
            _mark(before, after, last),
        )
        for before, after in both
    )
    heads = ("option", "in the case", "now", "the other choice costs", "turned")
    return Table(title, heads if rows else ("",) * 5, rows, text_last=True)


def verdict_with_shape(verdict: str) -> str:
    """A verdict with its shape."""
    return f"{SIGNS[verdict]} {SAID[verdict]}"


def _other(answer: OptionAnswer, figures: Figures) -> str:
    if answer.otherwise is None or answer.otherwise_se is None:
        return "no other choice"
    close = ", too close to call" if answer.close_call else ""
    return figures.spread(answer.otherwise, answer.otherwise_se) + close


def _mark(before: OptionAnswer, after: OptionAnswer, last: Mapping[str, str]) -> str:
    marks = []
    if last.get(after.option, after.verdict) != after.verdict:
        marks.append(JUST_NOW)
    if before.verdict != after.verdict:
        marks.append("against the case")
    return ", ".join(marks)


def _grounds(case: Case, advice: Advice, figures: Figures) -> None:
    """What the advice rests on, and how sure it is."""
    st.subheader("What it rests on, and how sure it is")
    for sentence in (
        how_sure(advice, figures),
        likeliest(advice, figures),
        close_calls(case, advice),
    ):
        if sentence:
            show.show(Paragraph(sentence))
    for part in learning_table(case, advice, figures):
        show.show(part)
