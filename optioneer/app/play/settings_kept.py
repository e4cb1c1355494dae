"""Settings of the sliders under names: kept, gone back to, compared."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

import streamlit as st

from optioneer.app.engine import cached
from optioneer.app.engine.words import SAID, SIGNS, literal
from optioneer.app.parts import show
from optioneer.app.play import pairs
from optioneer.app.play.figures_to_play import Slider
from optioneer.app.session import state, waiting
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.advice.answers import Advice
from optioneer.study.problem.effort import Progress
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure

KEPT = "settings"
"""Where they are noted."""

MOST = 4
"""Settings beside the case as it is."""


@dataclass(frozen=True)
class KeptSetting:
    """A setting of the sliders under a name.

    Parameters
    ----------
    asked
        What it changes of the case.
    positions
        What each slider held, by its key.
    """

    name: str
    asked: tuple[Asked, ...]
    positions: Mapping[str, float]


def kept_settings() -> tuple[KeptSetting, ...]:
    """The settings that are kept beside the draft."""
    return tuple(_setting(one) for one in state.last_note(KEPT) or ())


def _setting(noted: Mapping[str, Any]) -> KeptSetting:
    asked = tuple(
        Asked(Figure(what, name), float(value), times=bool(times))
        for what, name, value, times in noted["asked"]
    )
    return KeptSetting(str(noted["name"]), asked, dict(noted["positions"]))


def draw(case: Case, asked: tuple[Asked, ...], sliders: Sequence[Slider], figures: Figures) -> None:
    """Name the setting that is there, go back to others, and see all of them side by side."""
    st.subheader("Settings side by side")
    left, right = st.columns([3, 1], vertical_alignment="bottom")
    key = f"setting-name-{state.required_draft().id}"
    name = left.text_input("Name this setting of the sliders to keep it", key=key, max_chars=40)
    right.button(
        "Keep it here",
        key="setting-keep",
        disabled=not (name.strip() and asked),
        on_click=partial(_keep, name, asked, sliders),
        width="stretch",
    )
    settings = kept_settings()
    if not settings:
        st.caption("Move a slider, name what you see and keep it; then others stand beside it.")
        return
    for place, one in enumerate(settings):
        with st.container(horizontal=True, vertical_alignment="center"):
            st.markdown(f"**{literal(one.name)}**")
            st.button("Go there", key=f"setting-go-{place}", on_click=_go, args=(one, sliders))
            st.button("Forget it", key=f"setting-no-{place}", on_click=_forget, args=(place,))
    _draw_comparison(case, settings, figures)


def _keep(name: str, asked: tuple[Asked, ...], sliders: Sequence[Slider]) -> None:
    others = [one for one in state.last_note(KEPT) or () if one["name"] != name.strip()]
    setting = {
        "name": name.strip(),
        "asked": [[one.figure.what, one.figure.name, one.value, one.times] for one in asked],
        "positions": {slider.key: float(state.widget(slider.key)) for slider in sliders},
    }
    state.note(KEPT, [*others, setting][-MOST:])


def _go(setting: KeptSetting, sliders: Sequence[Slider]) -> None:
    for slider in sliders:
        state.set_widget(slider.key, setting.positions.get(slider.key, slider.here))


def _forget(place: int) -> None:
    held = list(state.last_note(KEPT) or ())
    state.note(KEPT, held[:place] + held[place + 1 :])


def _draw_comparison(case: Case, settings: Sequence[KeptSetting], figures: Figures) -> None:
    reply = waiting.reply_to(
        ("settings", cached.content(case), tuple((one.name, one.asked) for one in settings)),
        partial(_advices, case, settings),
        place="settings",
        about=case,
    )
    waiting.progress(reply, "Weighing every setting")
    if reply.answer is not None:
        with waiting.dimmed("settings", dim=reply.alive):
            show.page(comparison_tables(reply.about, reply.answer, figures))


def _advices(case: Case, settings: Sequence[KeptSetting], told: Progress) -> dict[str, Advice]:
    """The advice on a preview's futures by name of the setting; those that cannot be are left."""
    found = {"As it is": cached.preview(case, told)}
    for one in settings:
        try:
            changed = with_changes(case, one.asked)[0]
        except OptioneerError:
            continue
        found[one.name] = pairs.sketched_pair(case, changed, told).after
    return found


def comparison_tables(
    case: Case, advices: Mapping[str, Advice], figures: Figures
) -> tuple[Table, ...]:
    """What each setting costs, and the options whose verdicts are not the same in all."""
    every = list(advices.values())
    costs = (
        ("Price", *(figures.quoted(one.advised.price) for one in every)),
        ("Net present cost", *(figures.amount(one.advised.npc) for one in every)),
        ("Outcome on average", *(figures.amount(one.advised.outcome.mean) for one in every)),
    )
    rows = []
    for place, answer in enumerate(every[0].options):
        verdicts = [one.options[place].verdict for one in every]
        if len(set(verdicts)) > 1:
            told = (f"{SIGNS[verdict]} {SAID[verdict]}" for verdict in verdicts)
            rows.append((case.catalogue.by_id[answer.option].name, *told))
    heads = ("", *advices)
    note = f"On {every[0].futures:,} futures: previews."
    verdicts_title = "Verdicts that differ" if rows else "No verdict differs"
    return (
        Table("Settings", heads, costs, note=note),
        Table(verdicts_title, heads if rows else ("",) * len(heads), tuple(rows)),
    )
