"""The growth scenario as arrays, and the triangular distribution of what nobody knows."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Floats, Ints


@dataclass(frozen=True)
class Growth:
    """The growth scenario as arrays: K streams, F drivers.

    Parameters
    ----------
    keys
        Names of the streams; a stream's swing is drawn by its name.
    chance
        Of showing up, shape (K,), in 0..1; the mean where nobody knows it.
    years
        Earliest, likeliest, latest arrival, shape (K, 3) [years after first chips].
    margin
        Low, likely, high, shape (K, 3) [money/year at the order date].
    growth
        Of the margin, shape (K,) [1/year].
    swing
        Volatility of the margin once there, shape (K,) [1/sqrt(year)].
    life
        Whole periods that a stream lasts, shape (K,); the number of periods if to the horizon or
        if nobody knows.
    loadings
        On the drivers, shape (K, F); squares of a row sum to at most 1.
    nudge
        Shift of each driver, shape (F,) [standard deviations].
    chances, lasts
        Lowest, likeliest, highest chance, and years that it lasts, of each stream of which nobody
        knows them, shape (3,), else none; empty where all are known.
    stay
        Earliest, likeliest, latest sale of the machine, shape (3,) [years after first chips]; none:
        it is kept to the horizon.
    """

    keys: tuple[str, ...]
    chance: Floats
    years: Floats
    margin: Floats
    growth: Floats
    swing: Floats
    life: Ints
    loadings: Floats
    nudge: Floats
    chances: tuple[Floats | None, ...] = ()
    lasts: tuple[Floats | None, ...] = ()
    stay: Floats | None = None

    @property
    def has_ranges(self) -> bool:
        """Whether chances, lives or the stay of the machine differ from future to future."""
        return self.stay is not None or any(
            each is not None for each in (*self.chances, *self.lasts)
        )

    def chance_range(self, k: int) -> Floats | None:
        """Lowest, likeliest, highest chance of stream `k`; none where it is known."""
        return self.chances[k] if self.chances else None

    def life_range(self, k: int) -> Floats | None:
        """Shortest, likeliest, longest life of stream `k` [years]; none where it is known."""
        return self.lasts[k] if self.lasts else None

    @cached_property
    def own(self) -> Floats:
        """Weight of a stream's own shock, sqrt(1 - sum of squared loadings), shape (K,)."""
        common: Floats = (self.loadings**2).sum(axis=1)
        return np.sqrt(np.clip(1.0 - common, 0.0, None))


def triangular_quantile(u: Floats, bounds: Floats) -> Floats:
    """Value below which a triangular variable stays with probability `u`.

    Parameters
    ----------
    u
        Probabilities in 0..1, any shape.
    bounds
        Low, likely, high, shape (3,); all equal means certain.

    Notes
    -----
    ``low + sqrt(u (high-low)(likely-low))`` up to the likeliest value, then
    ``high - sqrt((1-u)(high-low)(high-likely))``.

    References
    ----------
    Kotz & van Dorp, *Beyond Beta*, World Scientific 2004, ch. 1 (standard formula, from memory).
    """
    low, likely, high = (float(bound) for bound in bounds)
    width = high - low
    rising = low + np.sqrt(u * width * (likely - low))
    falling = high - np.sqrt((1.0 - u) * width * (high - likely))
    return np.where(u * width < likely - low, rising, falling)


def triangular_share(x: Floats, bounds: Floats) -> Floats:
    """Probability that a triangular variable stays below `x`, any shape.

    Parameters
    ----------
    bounds
        Low, likely, high, shape (3,); all equal means certain, then 1 above and 0 up to it.
    """
    low, likely, high = (float(bound) for bound in bounds)
    if high <= low:
        return np.asarray(x > low, dtype=np.float64)
    x = np.clip(x, low, high)
    rising = (x - low) ** 2 / ((high - low) * max(likely - low, 1e-300))
    falling = 1.0 - (high - x) ** 2 / ((high - low) * max(high - likely, 1e-300))
    return np.where(x < likely, rising, falling)
