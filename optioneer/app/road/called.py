"""What stands on the site, who works there and the places, as people call them."""

import re
from collections.abc import Sequence

from optioneer.model.site import Site
from optioneer.study.needs.answers import Need
from optioneer.study.ready.answers import MoveStep, Purchase, Readiness

_UNIT = re.compile(r"(?<=\w) (mm|m|A|kVA|kW|V|bar|kg|MPa|L/min|1/h|s)(?=, |$)")
"""A unit at the end of the name of a figure."""


def trade_called(site: Site, trade: str) -> str:
    """The name of a trade."""
    names = {one.id: one.name for one in site.trade}
    return names.get(trade) or in_places(trade)


def item_called(site: Site, item: str) -> str:
    """The name of something that moves."""
    names = {one.id: one.name for one in site.item}
    return names.get(item) or in_places(item)


def in_places(text: str) -> str:
    """Places of the floor, read aloud.

    Examples
    --------
    >>> in_places("side+back-2")
    'side and back 2'
    """
    return text.replace("-", " ").replace("+", " and ")


def with_units(missing: str) -> str:
    """A figure that was not given, its units apart from its name.

    Examples
    --------
    >>> with_units("pressure lost in the air line: length of the line m, bore of the line mm")
    'pressure lost in the air line: length of the line (m), bore of the line (mm)'
    """
    return _UNIT.sub(r" (\1)", missing)


def order_called(site: Site, order: Purchase) -> str:
    """What is ordered; visits of a trade by its name."""
    return order.what.replace(f"{order.id}:", f"{trade_called(site, order.id)}:")


def between_places(moves: Sequence[MoveStep]) -> tuple[MoveStep, ...]:
    """Moves with their places read aloud, for tables that only tell them."""
    return tuple(
        one.model_copy(update={"from_": in_places(one.from_), "to": in_places(one.to)})
        for one in moves
    )


def _at_openings(site: Site, need: Need) -> Need:
    """A need with the opening that it is about read aloud."""
    for one in site.opening:
        if need.name.endswith(f" at {one.id}"):
            return need.model_copy(
                update={"name": f"{need.name.removesuffix(one.id)}{in_places(one.id)}"}
            )
    return need


def with_names(site: Site, answer: Readiness) -> Readiness:
    """The same with names and units as people say them, for pages that only show it."""
    return answer.model_copy(
        update={
            "missing": tuple(map(with_units, answer.missing)),
            "needs": tuple(_at_openings(site, need) for need in answer.needs),
            "purchases": tuple(
                one.model_copy(update={"what": order_called(site, one)}) for one in answer.purchases
            ),
            "bookings": tuple(
                one.model_copy(update={"trade": trade_called(site, one.trade)})
                for one in answer.bookings
            ),
            "moves": tuple(
                one.model_copy(update={"item": item_called(site, one.item)}) for one in answer.moves
            ),
            "rings": tuple(
                tuple(item_called(site, item) for item in ring) for ring in answer.rings
            ),
        }
    )
