"""What a changed figure adds to the numbers at stake, told from few futures that are met twice."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.study.whatif.baseline import AdvisedCase, OptionChoice

Added = Mapping[int, Floats]
"""By piece, what a change adds to the cost of each state, future by future, shape (P, n) [money].

Pieces that the change leaves alone are missing; the futures need not be the same ones.
"""

SURE = 2.0
"""Standard errors within which a number may lie on the other side of nothing.

Futures are spread evenly, which the error, told as if each were drawn alone, does not count: on the
large demo numbers were off by 0.6 of it.
"""

CENT = 0.01
"""Smaller moves are rounding [money]."""


@dataclass(frozen=True)
class AtStake:
    """NPC of the advised package, then what each other choice costs, with a figure changed.

    Parameters
    ----------
    values, errors
        Shape (1 + C,) each [money]. The errors are those of what the change adds.
    """

    values: Floats
    errors: Floats

    @property
    def turned(self) -> Bools:
        """Which other choice is the better one, shape (C,)."""
        return turned_away(self.values[1:])

    def close(self, here: Floats) -> Bools:
        """Which other choice moves and may lie on the other side, shape (C,).

        Parameters
        ----------
        here
            The numbers as in the case, shape (1 + C,).
        """
        moved = np.abs(self.values - here)[1:] + self.errors[1:] > CENT
        return np.asarray(moved & (np.abs(self.values[1:]) < SURE * self.errors[1:] + CENT))


def turned_away(numbers: Floats) -> Bools:
    """Whether each choice that is not advised is the better one, any shape."""
    return np.asarray(numbers < -CENT)


def costs_added(costs: Floats, base: Floats) -> Floats:
    """What a change adds to the costs of a piece, shape (P, n); 0 where it cannot be ordered.

    Parameters
    ----------
    costs, base
        In the same futures with the change and without, shape (P, n) each, infinite where a state
        cannot be ordered.
    """
    there = np.isfinite(base)
    return np.subtract(costs, base, out=np.zeros_like(base), where=there)


def numbers_with(advised: AdvisedCase, added: Added) -> AtStake:
    """What the advice says, plus what a change adds to it.

    Notes
    -----
    The mean cost of each state is that on all futures plus the mean of what is added in few
    (control variates: Glasserman, Monte Carlo Methods in Financial Engineering, Springer 2004,
    section 4.1, with a coefficient of one; from memory), so that a choice between states that cost
    much the same is not decided by which few futures were met.
    """
    npc = _npc_added(added, advised.package)
    rows = [npc, *(_otherwise_added(advised, choice, added) for choice in advised.choices)]
    moves, errors = np.array(rows).T
    return AtStake(advised.told + moves, errors)


def _npc_added(added: Added, package: Iterable[int]) -> tuple[float, float]:
    """What is added to the cost of the package, and its standard error [money]."""
    own = dict(enumerate([*package, 0]))
    by_count: dict[int, Floats] = {}
    for piece, each in added.items():
        count = each.shape[1]
        by_count[count] = by_count.get(count, np.zeros(count)) + each[own[piece]]
    means = [float(total.mean()) for total in by_count.values()]
    return sum(means), float(np.linalg.norm([_error(total) for total in by_count.values()]))


def _otherwise_added(
    advised: AdvisedCase, choice: OptionChoice, added: Added
) -> tuple[float, float]:
    """What is added to what the other choice costs, and its standard error [money]."""
    if choice.cluster not in added:
        return 0.0, 0.0
    own, here = added[choice.cluster], advised.means[choice.cluster]
    there = here + own.mean(axis=1)
    kept, other = (_least(there, some) for some in (choice.advised, ~choice.advised))
    was_kept, was_other = (_least(here, some) for some in (choice.advised, ~choice.advised))
    moved = (there[other] - there[kept]) - (here[was_other] - here[was_kept])
    return float(moved), _error(own[other] - own[kept])


def _least(means: Floats, some: Bools) -> int:
    """The state with the least mean among some."""
    return int(np.where(some, means, np.inf).argmin())


def _error(values: Floats) -> float:
    """Standard error of the mean of values that are drawn alone, shape (n,)."""
    return float(values.std(ddof=1) / np.sqrt(len(values)))
