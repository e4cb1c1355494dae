"""The moves puzzle: in which order to move what stands where something must go.

Places are numbered bits of an integer, so that the ground an item covers is one number and two
items overlap when the numbers share a bit. Lifting and skating is a rigger's work: an order of
moves is a plan, not a method.
"""

import heapq
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate
from operator import or_

from optioneer.site.network import reached

GOAL, HOME = 0, 1
"""Positions of a piece; the parkings follow."""


@dataclass(frozen=True)
class Piece:
    """One item that must move.

    Parameters
    ----------
    ground
        Places it covers now, as bits.
    goal
        Places it shall cover, as bits; 0: it leaves the building.
    hours
        Crew-hours of one move [h].
    trades
        Trades that disconnect and reconnect it at each move, as bits.
    """

    ground: int
    goal: int
    hours: float = 0.0
    trades: int = 0


@dataclass(frozen=True)
class Move:
    """One step: the piece, and the parking it goes to (none: to its goal) or comes from."""

    piece: int
    to: int | None
    came_from: int | None


@dataclass(frozen=True)
class MovesSolution:
    """The best order, its parking moves, crew-hours and trade visits."""

    moves: tuple[Move, ...]
    parked: int
    hours: float
    visits: int


class NoOrderError(ValueError):
    """No order exists with the parking given."""


class TooManyStatesError(ValueError):
    """The search passed its limit of states."""


def rings(pieces: Sequence[Piece]) -> list[list[int]]:
    """Groups of pieces that wait for each other, directly or in a ring, each sorted.

    A piece waits for another when its goal overlaps the other's present ground.
    """
    pieces_waited_for = [
        {
            blocking
            for blocking, other in enumerate(pieces)
            if waiting != blocking and piece.goal & other.ground
        }
        for waiting, piece in enumerate(pieces)
    ]
    after = [reached(piece, pieces_waited_for.__getitem__) for piece in range(len(pieces))]
    groups = {
        frozenset(other for other in there if piece in after[other])
        for piece, there in enumerate(after)
    }
    return sorted(sorted(group) for group in groups if len(group) > 1)


def best_order(
    pieces: Sequence[Piece],
    parking: Sequence[int] = (),
    *,
    fixed: int = 0,
    most_states: int = 400_000,
) -> MovesSolution:
    """The order with the fewest parking moves, then crew-hours, then trade visits.

    Parameters
    ----------
    pieces
        What must move. Their goals must not overlap: two cannot stand in one place.
    parking
        Ground of each temporary place, as bits; holds one piece at a time.
    fixed
        Ground that never becomes free, as bits.
    most_states
        Limit of the search.

    Returns
    -------
    The best of all orders: a uniform-cost search over the positions of all pieces, so it is exact.
    The number of parking moves allowed rises from the number of rings, below which there is none.

    Raises
    ------
    NoOrderError
        No order exists.
    TooManyStatesError
        More than `most_states` positions were looked at.

    Notes
    -----
    A trade's visit lasts while neighbouring moves need it; the first move that does not ends it.
    """
    floor = _Floor(pieces, parking, fixed)
    if not _solvable(floor, most_states):
        raise NoOrderError
    fewest = len(rings(pieces))
    allowed = fewest if parking else 0
    while True:
        found, cut = _search(floor, allowed, most_states)
        if found is not None:
            return found
        if not cut:
            raise NoOrderError
        allowed += 1


_Cost = tuple[int, int]
"""Crew-seconds (whole, so that two orders of one sum compare as equal), visits."""
_State = tuple[int, tuple[int, ...], int]
"""Parking moves so far, where each piece is, trades of the last move."""
_Entry = tuple[_Cost, int, _Cost, _State]


class _Floor:
    """Positions, free ground and steps of one puzzle."""

    def __init__(self, pieces: Sequence[Piece], parking: Sequence[int], fixed: int) -> None:
        self.pieces, self.fixed = pieces, fixed
        self.seconds = [round(piece.hours * 3600) for piece in pieces]
        self.targets = (GOAL, *range(HOME + 1, HOME + 1 + len(parking)))
        self.ground = [(piece.goal, piece.ground, *parking) for piece in pieces]
        self.start: _State = (0, (HOME,) * len(pieces), 0)

    def finished(self, state: _State) -> bool:
        return all(where == GOAL for where in state[1])

    def steps(self, state: _State) -> Iterator[tuple[Move, _Cost, _State]]:
        covered = [ground[at] for ground, at in zip(self.ground, state[1], strict=True)]
        # Ground of the pieces before and after each one: what it must not be set down on.
        before = list(accumulate(covered, or_, initial=self.fixed))
        after = list(accumulate(reversed(covered), or_, initial=0))[::-1]
        for piece, at in enumerate(state[1]):
            if at != GOAL:
                yield from self._steps_of(piece, state, before[piece] | after[piece + 1])

    def _steps_of(
        self, piece: int, state: _State, others: int
    ) -> Iterator[tuple[Move, _Cost, _State]]:
        parked, places, last = state
        here, at = self.pieces[piece], places[piece]
        cost = self.seconds[piece], (here.trades & ~last).bit_count()
        for to in self.targets:
            if to != at and not self.ground[piece][to] & others:
                after = (*places[:piece], to, *places[piece + 1 :])
                yield (
                    Move(piece, _park(to), _park(at)),
                    cost,
                    (parked + (to > HOME), after, here.trades),
                )


def _park(where: int) -> int | None:
    return where - HOME - 1 if where > HOME else None


def _solvable(floor: _Floor, most_states: int) -> bool:
    """Whether any order exists, however many parking moves it takes.

    Asked first, as otherwise pieces could be parked to and fro for ever in search of one.
    """
    seen = {floor.start[1]}
    ahead = [floor.start]
    while ahead:
        state = ahead.pop()
        if floor.finished(state):
            return True
        for _, _, (_, places, _) in floor.steps(state):
            if places not in seen:
                seen.add(places)
                ahead.append((0, places, 0))
        if len(seen) > most_states:
            raise TooManyStatesError(_too_many(floor, most_states))
    return False


def _too_many(floor: _Floor, most_states: int) -> str:
    return f"more than {most_states} positions for {len(floor.pieces)} items"


def _search(floor: _Floor, allowed: int, most_states: int) -> tuple[MovesSolution | None, bool]:
    """The cheapest order with at most `allowed` parking moves, and whether any was cut off."""
    queue: list[_Entry] = [((0, 0), 0, (0, 0), floor.start)]
    best: dict[_State, _Cost] = {floor.start: (0, 0)}
    came: dict[_State, tuple[_State, Move]] = {}
    cut = False
    while queue:
        _, _, cost, state = heapq.heappop(queue)
        if floor.finished(state):
            return MovesSolution(_trace(came, state), state[0], cost[0] / 3600, cost[1]), cut
        if cost > best[state]:
            continue
        for move, extra, after in floor.steps(state):
            if after[0] > allowed:
                cut = True
                continue
            total = cost[0] + extra[0], cost[1] + extra[1]
            if after not in best or total < best[after]:
                best[after], came[after] = total, (state, move)
                heapq.heappush(queue, (total, len(best), total, after))
        if len(best) > most_states:
            raise TooManyStatesError(_too_many(floor, most_states))
    return None, cut


def _trace(came: dict[_State, tuple[_State, Move]], state: _State) -> tuple[Move, ...]:
    moves = []
    while state in came:
        state, move = came[state]
        moves.append(move)
    return tuple(reversed(moves))
