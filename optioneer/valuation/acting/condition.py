"""A condition in few thresholds, and what it looks at."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices, Ints


@dataclass(frozen=True)
class Clues:
    """What anybody sees who wonders whether to fit something, T periods and n futures.

    Parameters
    ----------
    margin
        Margin a year of the work that is here and wants it, before tax; where it is of several
        kinds what it would add to each, shape (T, n) [money/year].
    brings
        The same times the years that the work likely runs on once it is fitted, (T, n) [money].
    price
        What it is quoted at then, without call-out, shape (T, n) [money].
    open
        Whether anything can be fitted: not in the first period nor after the sale, shape (T, n).
    since
        Start of each period, shape (T,) [years after first chips].
    """

    margin: Floats
    brings: Floats
    price: Floats
    open: Bools
    since: Floats

    @cached_property
    def here(self) -> tuple[Indices, Indices]:
        """Periods and futures in which work is here that wants it, the last periods first."""
        when, future = np.nonzero((self.open & (self.margin > 0.0))[::-1])
        return len(self.open) - 1 - when, future

    @cached_property
    def seen(self) -> tuple[Floats, Floats, Floats]:
        """Margin, what it brings and price there."""
        return self.margin[self.here], self.brings[self.here], self.price[self.here]


@dataclass(frozen=True)
class Condition:
    """Work is here that wants it and no threshold is missed, or so much time has passed.

    Parameters
    ----------
    margin
        Least margin a year [money/year].
    years
        Least time that the work likely runs on once it is fitted [years].
    brings
        Least margin a year times these years [money].
    price
        Most that it may be quoted at [money].
    after
        It is fitted from then on whatever is here [years after first chips].
    """

    margin: float = 0.0
    years: float = 0.0
    brings: float = 0.0
    price: float = np.inf
    after: float = np.inf

    def first(self, clues: Clues) -> Ints:
        """Period in which it holds first, T where it never does, shape (n,)."""
        (when, future), (margin, brings, price) = clues.here, clues.seen
        holds = (margin >= self.margin) & (price <= self.price)
        holds &= brings >= np.maximum(self.brings, self.years * margin)
        periods, count = clues.open.shape
        found = np.full(count, periods, dtype=np.int32)
        found[future[holds]] = when[holds]  # the earliest comes last and stays
        if np.isfinite(self.after):
            late = clues.open & (clues.since[:, None] >= self.after)
            anyway = np.where(late.any(axis=0), late.argmax(axis=0), periods)
            found = np.minimum(found, anyway).astype(np.int32)
        return found
