"""The moves puzzle of a case: what must move, in which order, with how many parkings."""

from collections.abc import Sequence
from dataclasses import dataclass

from optioneer.errors import RequestError, TooLargeError
from optioneer.model.site import Site
from optioneer.model.works import Item
from optioneer.site.moves import (
    Move,
    MovesSolution,
    NoOrderError,
    Piece,
    TooManyStatesError,
    best_order,
    rings,
)
from optioneer.study.ready.answers import MoveStep


@dataclass(frozen=True)
class MovePlan:
    """The best order of moves.

    Parameters
    ----------
    items
        What moves, by number.
    parking
        Names of the temporary places, by number.
    rings
        Items that wait for each other.
    hours
        Likely crew-hours of all steps [h].
    """

    items: tuple[Item, ...] = ()
    moves: tuple[Move, ...] = ()
    parking: tuple[str, ...] = ()
    rings: tuple[tuple[str, ...], ...] = ()
    visits: int = 0
    hours: float = 0.0

    @property
    def steps(self) -> tuple[MoveStep, ...]:
        """The steps as answers."""
        return tuple(self._step(number, move) for number, move in enumerate(self.moves, 1))

    def _step(self, number: int, move: Move) -> MoveStep:
        item = self.items[move.piece]
        came, to = move.came_from, move.to
        return MoveStep(
            step=number,
            item=item.id,
            **{"from": "+".join(item.on) if came is None else self.parking[came]},
            to="+".join(item.to or ()) or "out" if to is None else self.parking[to],
            parked=to is not None,
        )


def move_plan(site: Site) -> MovePlan:
    """The order with the fewest parkings, then crew-hours, then trade visits.

    Raises
    ------
    RequestError
        No order exists with the parking places given.
    TooLargeError
        The search is too large.
    """
    items = tuple(item for item in site.item if item.moves)
    if not items:
        return MovePlan()
    pieces, parking, fixed = _puzzle(site, items)
    found = _move_order(items, pieces, parking, fixed=fixed)
    return MovePlan(
        items=items,
        moves=found.moves,
        parking=site.shop.parking,
        rings=tuple(tuple(items[piece].id for piece in ring) for ring in rings(pieces)),
        visits=found.visits,
        hours=found.hours,
    )


def _puzzle(site: Site, items: Sequence[Item]) -> tuple[list[Piece], list[int], int]:
    """Pieces, parkings and ground that never becomes free, as bits."""
    places = sorted({p for i in site.item for p in (*i.on, *(i.to or ()))} | {*site.shop.parking})
    bit = {place: 1 << number for number, place in enumerate(places)}
    trade = {name: 1 << n for n, name in enumerate(sorted({t for i in items for t in i.trades}))}
    pieces = [
        Piece(
            ground=sum(bit[place] for place in set(item.on)),
            goal=sum(bit[place] for place in set(item.to or ())),
            hours=0.0 if item.crew_hours is None else item.crew_hours[1],
            trades=sum(trade[name] for name in set(item.trades)),
        )
        for item in items
    ]
    fixed = {place for item in site.item if not item.moves for place in item.on}
    return pieces, [bit[place] for place in site.shop.parking], sum(bit[place] for place in fixed)


def _move_order(
    items: Sequence[Item], pieces: list[Piece], parking: list[int], *, fixed: int
) -> MovesSolution:
    try:
        return best_order(pieces, parking, fixed=fixed)
    except NoOrderError:
        waiting = "; ".join(", ".join(items[p].id for p in ring) for ring in rings(pieces))
        told = f"wait for each other in a ring ({waiting})" if waiting else "block each other"
        raise RequestError(
            f"site.toml, item: there is no order of moves: items {told}. Name a place where one "
            "of them may stand for a while under 'parking', or give one another destination."
        ) from None
    except TooManyStatesError as error:
        raise TooLargeError(
            f"site.toml, item: {len(items)} items have {error}. Give items that move together one "
            "row, or name fewer parking places."
        ) from None
