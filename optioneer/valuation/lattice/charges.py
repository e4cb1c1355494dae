"""What retrofits cost at some moments."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import count
from typing import Any

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Floats, Indices
from optioneer.valuation.lattice.lattice import Target
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import triangular_quantile


@dataclass(frozen=True)
class Charges:
    """What a retrofit costs, discounted to the order date, at n moments.

    Parameters
    ----------
    table
        A row each: charge of every target, of those that something eases once that is fitted, in
        the order of the targets, and of one call-out, by index, shape (C, n) [money].
    easier
        Row of each target's charge once its easing option is fitted; none where nothing eases it.
    """

    table: NDArray[Any]
    easier: tuple[int | None, ...]

    @classmethod
    def of_parts(
        cls, plain: Sequence[Floats], eased: Sequence[Floats | None], visits: Sequence[Floats]
    ) -> "Charges":
        """From the charges of targets, plain and eased, and of call-outs, shape (n,) each."""
        told = [each for each in eased if each is not None]
        table = np.array(np.broadcast_arrays(*plain, *told, *visits))
        return cls(table, rows_eased([each is not None for each in eased]))

    @cached_property
    def plain(self) -> tuple[Floats, ...]:
        """Charge of each target, shape (n,) each."""
        return tuple(self.table[: len(self.easier)])

    @cached_property
    def eased(self) -> tuple[Floats | None, ...]:
        """Charge of each target once its easing option is fitted, none where nothing eases it."""
        return tuple(None if row is None else self.table[row] for row in self.easier)

    @cached_property
    def visits(self) -> tuple[Floats, ...]:
        """Charge of one call-out, by index, shape (n,) each."""
        first = 2 * len(self.easier) - self.easier.count(None)
        return tuple(self.table[first:])

    def of_target(self, target: int, *, eased: bool) -> NDArray[Any]:
        """Charge of one target, the eased one where it is asked for and there is one, (n,)."""
        row = self.easier[target] if eased else None
        charge: NDArray[Any] = self.table[target if row is None else row]
        return charge

    @cached_property
    def largest(self) -> float:
        """No retrofits of one date cost more than this [money]."""
        return float(sum(self.table.max(axis=1).tolist()))

    def times(self, factor: Floats) -> "Charges":
        """The same times a factor, shape (n,)."""
        return Charges(self.table * factor, self.easier)

    def of(self, moments: slice | Indices) -> "Charges":
        """Those at some of the moments."""
        return Charges(self.table[:, moments], self.easier)


def rows_eased(eased: Sequence[bool]) -> tuple[int | None, ...]:
    """Row in the table of charges of each target that is eased; none of the others."""
    rows = count(len(eased))
    return tuple(next(rows) if each else None for each in eased)


def multiplier_draws(target: Target, futures: Futures) -> tuple[Floats, Floats | None]:
    """Multiplier of a retrofit in each future, plain and eased, on the same quantile."""
    quantile = futures.quantile[target.option]
    plain = triangular_quantile(quantile, target.bounds)
    if target.easing is None:
        return plain, None
    return plain, triangular_quantile(quantile, target.easing.bounds)
