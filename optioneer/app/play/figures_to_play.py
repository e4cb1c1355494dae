"""The figures an owner plays with: their sliders, and what they then are."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import streamlit as st

from optioneer.app.engine.words import literal
from optioneer.app.session import state
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream
from optioneer.study.worth.changes import Asked
from optioneer.study.worth.figures import Figure, What, figure_of

HEADS: dict[What, str] = {
    "chance": "Chance",
    "margin": "Yearly margin",
    "years": "Years until it comes",
    "lasts-years": "Years that it lasts",
    "fallback": "Share kept without a way",
    "multiplier": "Retrofit multiplier",
    "price": "Price",
    "later-price": "Later price",
    "downtime-days": "Days of standstill",
}
"""Figures that are picked before they get a slider."""


@dataclass(frozen=True)
class Slider:
    """A slider of one figure.

    Parameters
    ----------
    label
        What people call it.
    low, high, step
        Its range.
    here
        Where the case stands.
    scale
        What its value is divided by to give the figure: 100 for percents.
    times
        Whether it is a multiple, in percent, of what the case says.
    form
        How its value is shown.
    """

    figure: Figure
    label: str
    low: float
    high: float
    step: float
    here: float
    scale: float = 1.0
    times: bool = False
    form: str = "%g"

    @property
    def key(self) -> str:
        """The key of its widget, its own in every case."""
        draft = state.required_draft().id
        return f"play-{draft}-{self.figure.what}-{self.figure.name}"

    def change_at(self, value: float) -> Asked | None:
        """The change that a position means; none where the case stands."""
        if abs(value - self.here) < self.step / 1e6:
            return None
        return Asked(self.figure, round(value / self.scale, 12), times=self.times)


def drivers(case: Case) -> tuple[Slider, ...]:
    """The nudge of every driver, automation first."""
    found = sorted(case.growth.driver, key=lambda driver: driver.id != "automation")
    return tuple(
        Slider(
            Figure("nudge", driver.id),
            driver.name or driver.id,
            min(-2.0, driver.nudge),
            max(2.0, driver.nudge),
            0.25,
            driver.nudge,
            form="%+.2f",
        )
        for driver in found
    )


def of_the_case(case: Case) -> tuple[Slider, ...]:
    """How long the machine is kept, horizon and discount rate."""
    growth = case.growth
    rate, kept = 100 * growth.discount_rate, figure_of(case, Figure("kept-years"))
    return (
        Slider(
            Figure("kept-years"),
            "Years the machine is kept",
            1.0 / growth.periods_per_year,
            max(kept, growth.horizon_years),
            0.25,
            kept,
            form="%g years",
        ),
        Slider(
            Figure("horizon"),
            "Years looked ahead",
            min(2.0, growth.horizon_years),
            max(20.0, growth.horizon_years),
            1.0,
            growth.horizon_years,
            form="%g years",
        ),
        Slider(
            Figure("discount-rate"),
            "Discount rate a year",
            min(0.0, rate),
            max(20.0, rate),
            0.5,
            rate,
            scale=100.0,
            form="%.1f %%",
        ),
    )


def pickable(case: Case) -> dict[str, Slider]:
    """Every other figure, by what people call it."""
    work = (slider for stream in case.growth.stream for slider in _of_work(case, stream))
    options = (slider for option in case.catalogue.options for slider in _of_option(option))
    return {slider.label: slider for slider in (*work, *options)}


def _of_work(case: Case, stream: Stream) -> Iterator[Slider]:
    name = stream.name or stream.id
    yield _share("chance", stream, stream.likely_chance)
    yield _factor("margin", stream.id, name)
    if stream.years.high > 0:
        yield _years("years", stream, (0.0, 2.0 * stream.years.likely + 2.0), stream.years.likely)
    lasts = figure_of(case, Figure("lasts-years", stream.id))
    ends = (1.0 / case.growth.periods_per_year, max(lasts, case.growth.horizon_years))
    yield _years("lasts-years", stream, ends, lasts)
    if stream.way:
        yield _share("fallback", stream, stream.fallback)


def _of_option(option: Option) -> Iterator[Slider]:
    if option.retrofittable and option.multiplier is not None and option.multiplier.likely > 0:
        yield _factor("multiplier", option.option, option.name)
        yield _factor("later-price", option.option, option.name)
        if option.downtime_days > 0:
            yield _factor("downtime-days", option.option, option.name)
    if not option.standard:
        yield _factor("price", option.option, option.name)


def _share(what: What, stream: Stream, here: float) -> Slider:
    return Slider(
        Figure(what, stream.id),
        f"{HEADS[what]}: {stream.name or stream.id}",
        0.0,
        100.0,
        1.0,
        100 * here,
        scale=100.0,
        form="%g %%",
    )


def _years(what: What, stream: Stream, ends: tuple[float, float], here: float) -> Slider:
    label = f"{HEADS[what]}: {stream.name or stream.id}"
    return Slider(Figure(what, stream.id), label, *ends, 0.25, here, form="%g years")


def _factor(what: What, name: str, label: str) -> Slider:
    return Slider(
        Figure(what, name),
        f"{HEADS[what]}: {label}",
        25.0,
        300.0,
        5.0,
        100.0,
        scale=100.0,
        times=True,
        form="%g %% of the case",
    )


def chosen(sliders: Sequence[Slider]) -> tuple[Asked, ...]:
    """Draw the sliders; the changes that their positions mean."""
    found, held = [], {}
    for slider in sliders:
        state.recall(slider.key, state.within(slider.low, slider.high))
        value = st.slider(
            literal(slider.label),
            slider.low,
            slider.high,
            slider.here,
            slider.step,
            format=slider.form,
            key=slider.key,
            persist_state="session",
        )
        held[slider.key] = value
        asked = slider.change_at(float(value))
        if asked is not None:
            found.append(asked)
    state.notes(held)
    return tuple(found)


def reset(sliders: Sequence[Slider]) -> None:
    """Put sliders back to where the case stands."""
    for slider in sliders:
        state.set_widget(slider.key, slider.here)
