"""Margins of streams at the moments where they are asked for, which are few of all there are."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.valuation.lattice.view import View

MOST_LOG = 700.0
"""Most of a swing's logarithm that is looked at: its exponential stays finite."""


@dataclass(frozen=True)
class Margins:
    """What K streams earn a year in each of T periods and n futures.

    Parameters
    ----------
    view
        Futures as the streams meet them.

    Notes
    -----
    The sums are those of ``View.expected_margin``, at single moments.
    """

    view: View

    @cached_property
    def there(self) -> Bools:
        """Whether each stream earns anything, shape (K, T, n)."""
        view, periods = self.view, np.arange(self.view.timeline.periods, dtype=np.int32)[:, None]
        there: Bools = view.arrival[:, None] <= periods
        there &= view.end[:, None] > periods
        there &= (view.level > 0.0)[:, None]
        if view.futures.stay.size:
            there &= view.stay > periods
        return there

    def at(self, rows: Indices, t: Indices, future: Indices) -> Floats:
        """Margin a year of J streams at M moments, shape (J, M) [money/year].

        Parameters
        ----------
        rows
            Of the streams, shape (J,).
        t, future
            Period and future of each moment, shape (M,).
        """
        margin: Floats = self.view.level[rows[:, None], future]
        margin *= self.there[rows[:, None], t, future]
        for place, row in enumerate(rows.tolist()):
            path = self.view.futures.log_swing[self.view.lattice.streams[row]]
            if path is not None:
                first = np.minimum(self.view.arrival[row, future], len(self._worth) - 1)
                since = path[t, future] - path[first, future]
                # Before arrival the margin is 0 whatever the path.
                margin[place] *= np.exp(np.minimum(since, MOST_LOG))
        margin *= self._flow[rows[:, None], t]
        margin /= self._worth[t]
        return margin

    @cached_property
    def _worth(self) -> Floats:
        """Discounted length of each period, shape (T,) [years]."""
        return self.view.timeline.during * self.view.timeline.dt

    @cached_property
    def _flow(self) -> Floats:
        """The same with the growth of each stream, shape (K, T)."""
        rates = self.view.growth.growth[self.view.lattice.streams]
        grown: Floats = (1.0 + rates[:, None]) ** self.view.timeline.years[None, :-1]
        return grown * self._worth
