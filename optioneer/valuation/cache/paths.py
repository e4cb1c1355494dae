"""Which states a policy leads through, from what it does from every state."""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Ints
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.journey import choices_of
from optioneer.valuation.timing.policy import Policy, decision_spans
from optioneer.valuation.timing.sweep import Moves


def states_moved_to(view: View, policy: Policy) -> NDArray[np.int32]:
    """State moved to from every state in every period, shape (T, P, n).

    Parameters
    ----------
    view
        A block of n futures.
    """
    size, count = view.lattice.size, view.futures.count
    stay = np.arange(size, dtype=np.int32)[:, None]
    after = np.repeat(np.repeat(stay, count, axis=1)[None], view.timeline.periods, axis=0)
    for periods in decision_spans(view) if view.lattice.targets else ():
        known, charges = view.known_level(periods), view.charges(periods)
        choice = choices_of(view, policy, periods, known, charges)
        for place, t in enumerate(periods):
            after[t] = choice[:, view.moments(place)]
    return after


def states_along(after: NDArray[Any], start: int) -> NDArray[np.int32]:
    """State when `start` is ordered and after the moves of each period, shape (T + 1, n).

    `after` is from ``states_moved_to`` or ``moves_after_order``; that a machine may be sold is left
    out of account.
    """
    states = np.full((after.shape[0] + 1, after.shape[2]), start, dtype=np.int32)
    futures = np.arange(after.shape[2])
    for t in range(1, len(after)):  # nothing is fitted in the first period
        states[t + 1] = after[t][states[t], futures]
    return states


def path(moves: Moves, start: int, stay: Ints) -> NDArray[Any]:
    """State after the moves of each period when `start` is ordered, shape (T, N).

    Parameters
    ----------
    moves
        What is done from every state.
    start
        The state ordered.
    stay
        Period at whose start the machine is sold, shape (N,).
    """
    return path_through(moves_after_order(moves, start), start, stay)


def path_through(after: NDArray[Any], start: int, stay: Ints) -> NDArray[Any]:
    """The same with what is done from every state, shape (T, P, N)."""
    states, futures = np.empty((after.shape[0], after.shape[2]), after.dtype), np.arange(len(stay))
    states[0] = start
    size, count = after.shape[1:]
    for t in range(1, len(states)):
        before = states[t - 1]
        here: Bools = stay > t
        # The rows are known to exist; "clip" only spares numpy the check.
        place = np.multiply(before, count, dtype=np.intp) + futures
        moved = after[t].reshape(size * count).take(place, mode="clip")
        states[t] = np.where(here, moved, before)
    return states


def states_owned(moves: Moves, start: int, stay: Ints) -> NDArray[Any]:
    """State during each period when `start` is ordered, shape (T, N); parameters as for `path`."""
    after = path(moves, start, stay)
    return np.concatenate([np.full_like(after[:1], start), after[:-1]])


def moves_after_order(moves: Moves, start: int) -> NDArray[Any]:
    """What is done from every state when `start` is ordered, shape (T, P, N)."""
    ruled = moves.ruled is not None and bool(moves.ruled[start])
    return moves.rule if ruled and moves.rule is not None else moves.learned
