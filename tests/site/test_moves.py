from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.site.moves import (
    MovesSolution,
    NoOrderError,
    Piece,
    TooManyStatesError,
    best_order,
    rings,
)


def test_a_chain_moves_from_its_free_end() -> None:
    found = best_order([Piece(1, 2), Piece(2, 4), Piece(4, 8)])
    assert [move.piece for move in found.moves] == [2, 1, 0]
    assert found.parked == 0


def test_two_that_swap_places_need_one_parking_and_the_lighter_one_waits() -> None:
    found = best_order([Piece(1, 2, hours=6), Piece(2, 1, hours=2)], [4])
    assert [(move.piece, move.to, move.came_from) for move in found.moves] == [
        (1, 0, None),
        (0, None, None),
        (1, None, 0),
    ]
    assert found.parked == 1
    assert found.hours == pytest.approx(10)


def test_three_that_each_wait_for_both_others_need_two_parkings_for_one_ring() -> None:
    """Each stands on two places and goes to one of either of the others."""
    pieces = [Piece(0b000011, 0b010100), Piece(0b001100, 0b100001), Piece(0b110000, 0b001010)]
    assert rings(pieces) == [[0, 1, 2]]
    found = best_order(pieces, [1 << 6, 1 << 7])
    assert found.parked == 2
    assert len(found.moves) == 5
    with pytest.raises(NoOrderError):
        best_order(pieces, [1 << 6])


def test_a_swap_without_a_parking_has_no_order() -> None:
    with pytest.raises(NoOrderError):
        best_order([Piece(1, 2), Piece(2, 1)])


def test_an_item_that_never_moves_can_block_everything() -> None:
    with pytest.raises(NoOrderError):
        best_order([Piece(1, 2)], [4], fixed=2)


def test_what_leaves_the_building_waits_for_nobody() -> None:
    found = best_order([Piece(1, 2), Piece(2, 0)])
    assert [move.piece for move in found.moves] == [1, 0]


def test_rings_name_those_who_wait_for_each_other() -> None:
    pieces = [Piece(1, 2), Piece(2, 4), Piece(4, 1), Piece(8, 1), Piece(16, 32)]
    assert rings(pieces) == [[0, 1, 2]]


def test_neighbouring_moves_share_a_visit() -> None:
    electrician, plumber = 1, 2
    trades = [electrician, plumber, electrician, plumber]
    found = best_order([Piece(1 << i, 16 << i, trades=t) for i, t in enumerate(trades)])
    assert found.visits == 2


def test_a_trade_that_two_moves_need_with_another_between_them_comes_twice() -> None:
    found = best_order([Piece(1, 2, trades=1), Piece(2, 4, trades=2), Piece(4, 8, trades=1)])
    assert found.visits == 3


def test_too_large_a_puzzle_says_so() -> None:
    pieces = [Piece(1 << i, 1 << 20 + i, trades=i % 3) for i in range(12)]
    with pytest.raises(TooManyStatesError):
        best_order(pieces, most_states=100)


def test_fourteen_free_items_are_no_hurdle() -> None:
    pieces = [Piece(1 << i, 1 << 20 + i, hours=i, trades=i % 4) for i in range(14)]
    assert best_order(pieces, [1 << 40]).visits == 2


def exhaustive(
    pieces: list[Piece], parking: list[int], fixed: int
) -> tuple[int, float, int] | None:
    """Every sequence of moves with at most as many parkings as pieces, looked at one by one."""
    best: tuple[int, float, int] | None = None

    def walk(
        where: tuple[int | str, ...],
        last: int,
        spent: tuple[int, float, int],
        seen: frozenset[object],
    ) -> None:
        nonlocal best
        if best is not None and spent >= best:
            return
        if all(place == "goal" for place in where):
            best = spent
            return
        stands = [
            piece.goal if at == "goal" else piece.ground if at == "home" else parking[int(at)]
            for piece, at in zip(pieces, where, strict=True)
        ]
        for i, to in product(range(len(pieces)), ["goal", *range(len(parking))]):
            target = pieces[i].goal if to == "goal" else parking[int(to)]
            free = not any(target & ground for j, ground in enumerate(stands) if j != i)
            after = (*where[:i], to, *where[i + 1 :])
            if where[i] == "goal" or to == where[i] or not free or target & fixed or after in seen:
                continue
            visits = (pieces[i].trades & ~last).bit_count()
            cost = (spent[0] + (to != "goal"), spent[1] + pieces[i].hours, spent[2] + visits)
            if cost[0] <= len(pieces):
                walk(after, pieces[i].trades, cost, seen | {after})

    walk(("home",) * len(pieces), 0, (0, 0.0, 0), frozenset())
    return best


@st.composite
def floors(draw: st.DrawFn) -> tuple[list[Piece], list[int], int]:
    count = draw(st.integers(1, 4))
    places = draw(st.permutations(range(count + 2)))
    goals = draw(st.permutations(range(count + 2)))
    pieces = [
        Piece(1 << places[i], 1 << goals[i], draw(st.integers(1, 3)), draw(st.integers(0, 3)))
        for i in range(count)
    ]
    parking = [1 << draw(st.integers(0, count + 3)) for _ in range(draw(st.integers(0, 2)))]
    return pieces, parking, draw(st.sampled_from([0, 0, 1 << goals[count]]))


@settings(max_examples=150, deadline=None)
@given(floors())
def test_the_order_is_as_good_as_an_exhaustive_search(
    floor: tuple[list[Piece], list[int], int],
) -> None:
    pieces, parking, fixed = floor
    fixed &= ~sum({piece.ground for piece in pieces})
    expected = exhaustive(pieces, parking, fixed)
    try:
        found: MovesSolution | None = best_order(pieces, parking, fixed=fixed)
    except NoOrderError:
        found = None
    got = None if found is None else (found.parked, found.hours, found.visits)
    assert got == (None if expected is None else pytest.approx(expected))


def test_pieces_that_could_be_parked_to_and_fro_for_ever_have_no_order() -> None:
    """Two parking places, and a goal that never becomes free."""
    with pytest.raises(NoOrderError):
        best_order([Piece(0b1, 0b10, 1, 0)], [0b100, 0b1000], fixed=0b10)
