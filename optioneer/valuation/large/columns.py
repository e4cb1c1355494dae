"""Columns and rows of a cluster's programme as they are added, the order first."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.large.short_list import Keeping
from optioneer.valuation.lattice.levels import Terms
from optioneer.valuation.lattice.view import View

if TYPE_CHECKING:  # slow to import, and few cases need a programme
    from scipy.sparse import csr_array


def first_columns(terms: Terms) -> tuple[int, ...]:
    """Column of the first level of each slot."""
    return tuple(int(edge) for edge in np.cumsum([0, *map(len, terms.fitted)])[:-1])


def price_row(terms: Terms, columns: int) -> Floats:
    """What each column adds to the price; bundles follow the levels."""
    row = np.zeros(columns)
    own = [price for levels in terms.price for price in levels]
    row[: len(own)] = own
    row[len(own) : len(own) + len(terms.bundles)] = [-b.discount for b in terms.bundles]
    return row


@dataclass
class Matrix:
    """Columns and rows as they are added."""

    terms: Terms
    objective: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)

    @cached_property
    def levels(self) -> tuple[int, ...]:
        """Column of ordering the first level of each slot."""
        return first_columns(self.terms)

    @cached_property
    def order_columns(self) -> dict[int, int]:
        """Column of ordering each option."""
        return {o: self.levels[axis] + level for o, (axis, level) in self.terms.place.items()}

    def column(self, cost: float) -> int:
        """A new column."""
        self.objective.append(cost)
        return len(self.objective) - 1

    def row(self, plus: Iterable[int], minus: Iterable[int], upper: float = 0.0) -> None:
        """The sum of some columns less that of others is at most `upper`."""
        number = len(self.upper)
        self.entries += [(number, column, 1.0) for column in plus]
        self.entries += [(number, column, -1.0) for column in minus]
        self.upper.append(upper)

    def orders(self, view: View) -> None:
        """Columns and rows of the order, with what its options cost whatever the future."""
        self.rules()
        terms, timeline = self.terms, view.timeline
        price = terms.order_factor * price_row(terms, len(self.objective))
        upkeep = [u for levels in terms.upkeep for u in levels]
        keeping = Keeping(terms, timeline, view.futures.stay)
        resale = [
            float(np.mean(keeping.receipts(axis, level)))
            for axis, levels in enumerate(terms.resale)
            for level in range(len(levels))
        ]
        price[: len(upkeep)] += float(np.mean(keeping.years)) * np.array(upkeep)
        price[: len(upkeep)] -= np.array(resale)
        self.objective = list(price)

    def rules(self) -> None:
        """One level a slot; requirements, exclusions, bundles."""
        terms = self.terms
        for first, levels in zip(first_columns(terms), terms.fitted, strict=True):
            columns = [self.column(0.0) for _ in levels]
            if columns[0] != first:
                raise RuntimeError("The order comes first.")
            self.row(columns, (), 1.0)
        bundles = [self.column(0.0) for _ in terms.bundles]
        for one, other in terms.requires:
            self.row([self.order_columns[one]], [self.order_columns[other]])
        for one, other in terms.excludes:
            self.row([self.order_columns[one], self.order_columns[other]], (), 1.0)
        for column, bundle in zip(bundles, terms.bundles, strict=True):
            members = [self.order_columns[option] for option in bundle.options]
            for member in members:
                self.row([column], [member])
            self.row(members, [column], len(members) - 1.0)

    @property
    def matrix(self) -> "csr_array":
        """The rows, shape (rows, columns)."""
        from scipy.sparse import csr_array  # noqa: PLC0415 - slow, and few cases need a programme

        rows, columns, values = zip(*self.entries, strict=True)
        shape = (len(self.upper), len(self.objective))
        return csr_array((values, (rows, columns)), shape=shape)
