"""What retrofits cost at some moments."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.lattice.lattice import Target
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import triangular_quantile


@dataclass(frozen=True)
class Charges:
    """What a retrofit costs, discounted to the order date, at n moments.

    Parameters
    ----------
    plain
        Charge of each target, shape (n,) each [money].
    eased
        Charge once its easing option is fitted, none where nothing eases it.
    visits
        Charge of one call-out, by index: a number, or shape (n,) [money].
    """

    plain: tuple[Floats, ...]
    eased: tuple[Floats | None, ...]
    visits: tuple[Floats | float, ...]

    @cached_property
    def largest(self) -> float:
        """No retrofits of one date cost more than this [money]."""
        told = (*self.plain, *(each for each in self.eased if each is not None), *self.visits)
        return sum(float(np.max(each)) for each in told)

    def times(self, factor: Floats) -> "Charges":
        """The same times a factor, shape (n,)."""
        return Charges(
            plain=tuple(each * factor for each in self.plain),
            eased=tuple(None if each is None else each * factor for each in self.eased),
            visits=tuple(each * factor for each in self.visits),
        )

    def of(self, moments: slice | Indices) -> "Charges":
        """Those at some of the moments."""
        return Charges(
            plain=tuple(each[moments] for each in self.plain),
            eased=tuple(None if each is None else each[moments] for each in self.eased),
            visits=tuple(
                each if isinstance(each, float) else each[moments] for each in self.visits
            ),
        )


def multiplier_draws(target: Target, futures: Futures) -> tuple[Floats, Floats | None]:
    """Multiplier of a retrofit in each future, plain and eased, on the same quantile."""
    quantile = futures.quantile[target.option]
    plain = triangular_quantile(quantile, target.bounds)
    if target.easing is None:
        return plain, None
    return plain, triangular_quantile(quantile, target.easing.bounds)
