"""The floor drawn to scale where sizes are told, and the moves as small pictures in order."""

from collections.abc import Sequence

import streamlit as st

from optioneer.app.engine.words import escaped
from optioneer.app.parts import show
from optioneer.app.road.called import between_places, in_places
from optioneer.model.case import Case
from optioneer.model.site import Site
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.reports.ready.page import moves_tables
from optioneer.study.ready.answers import MoveStep, Readiness


def draw(case: Case, answer: Readiness, figures: Figures) -> None:
    """The machine on the free floor, then each move with the places before and after it."""
    drawn = "" if case.site is None else floor(case.site, figures)
    if case.site is not None and drawn:
        st.subheader("The machine on the floor")
        show.drawing(
            drawn,
            show.Behind((sizes_table(case.site, figures),), "floor"),
            "To scale: the free floor, the machine, and around it (dashed) the room to serve it. "
            "Where it stands on the floor is not told; an option may need more room.",
        )
    if answer.moves:
        st.subheader("The moves, in order")
        on = () if case.site is None else case.site.shop.machine_on
        named = answer.model_copy(update={"moves": between_places(answer.moves)})
        moved = tuple(moves_tables(named, figures))
        show.drawing(moves_picture(answer.moves, on), show.Behind(moved, "moves"))


def sizes_table(site: Site, figures: Figures) -> Table:
    """The sizes that the floor is drawn from."""
    shop, needs = site.shop, site.needs
    left, right, front, back = needs.service_m or (0.0, 0.0, 0.0, 0.0)
    sizes = {
        "free floor": (shop.free_length_m, shop.free_width_m),
        "machine": (needs.length_m, needs.width_m),
        "room to serve it, left and right, front and back": (left + right, front + back),
    }
    rows = tuple(
        (name, *("missing" if one is None else figures.number(one, 2) for one in both))
        for name, both in sizes.items()
    )
    return Table("Sizes", ("", "length, m", "width, m"), rows)


def floor(site: Site, figures: Figures) -> str:
    """The machine with its service room on the free floor; '' where a size is not told."""
    shop, needs = site.shop, site.needs
    sizes = (shop.free_length_m, shop.free_width_m, needs.length_m, needs.width_m)
    if None in sizes:
        return ""
    long, wide, length, width = (float(size or 0.0) for size in sizes)
    left, right, front, back = needs.service_m or (0.0, 0.0, 0.0, 0.0)
    whole_long, whole_wide = left + length + right, back + width + front
    outer = (max(long, whole_long), max(wide, whole_wide))
    fits = whole_long <= long and whole_wide <= wide
    room = _box(outer, (0.0, 0.0, long, wide), "free", "free floor")
    served = _box(outer, (0.0, 0.0, whole_long, whole_wide), "served", "")
    machine = _box(outer, (left, back, length, width), "machine", "machine")
    told = (
        f"Free floor {figures.number(long)} x {figures.number(wide)} m; machine "
        f"{figures.number(length)} x {figures.number(width)} m, with room to serve it "
        f"{figures.number(whole_long)} x {figures.number(whole_wide)} m: "
        f"{'it fits' if fits else 'it does not fit'}."
    )
    ratio = f"{outer[0]:.3f} / {outer[1]:.3f}"
    return (
        f'<div class="floor" style="aspect-ratio: {ratio}" aria-hidden="true">{room}{served}'
        f"{machine}</div><p>{escaped(told)}</p>"
    )


def _box(
    outer: tuple[float, float], place: tuple[float, float, float, float], kind: str, name: str
) -> str:
    """A rectangle by left, top, length and width [m], in percent of the whole."""
    left, top, length, width = place
    style = (
        f"left:{100 * left / outer[0]:.2f}%;top:{100 * top / outer[1]:.2f}%;"
        f"width:{100 * length / outer[0]:.2f}%;height:{100 * width / outer[1]:.2f}%"
    )
    return f'<i class="{kind}" style="{style}"><span>{escaped(name)}</span></i>'


def moves_picture(moves: Sequence[MoveStep], machine_on: Sequence[str]) -> str:
    """A small picture a move: all places, the one that is left, the one that is taken."""
    named = (name for one in moves for text in (one.from_, one.to) for name in text.split("+"))
    places = list(dict.fromkeys([*machine_on, *named]))
    cards = "".join(_card(one, places, machine_on) for one in moves)
    return f'<ol class="moves">{cards}</ol>'


def _card(move: MoveStep, places: Sequence[str], machine_on: Sequence[str]) -> str:
    boxes = "".join(
        f'<span class="{_kind(place, move, machine_on)}">{escaped(in_places(place))}</span>'
        for place in places
    )
    aside = ", for a while" if move.parked else ""
    told = f"{move.item}: from {in_places(move.from_)} to {in_places(move.to)}{aside}"
    return f'<li><b>{escaped(told)}</b><div aria-hidden="true">{boxes}</div></li>'


def _kind(place: str, move: MoveStep, machine_on: Sequence[str]) -> str:
    if place in move.to.split("+"):
        return "to"
    if place in move.from_.split("+"):
        return "from"
    return "ours" if place in machine_on else "other"
