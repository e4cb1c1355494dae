"""Lengths for figures: a line on which things are marked, and round steps along it."""

from dataclasses import dataclass


@dataclass(frozen=True)
class MarkedLine:
    """A line on which things are marked.

    Parameters
    ----------
    low, high
        Its ends.
    """

    low: float
    high: float

    def at(self, value: float) -> float:
        """How far along the line a value lies, in percent; what lies beyond is at its end.

        Examples
        --------
        >>> line = MarkedLine(0.0, 200.0)
        >>> line.at(50.0), line.at(900.0), MarkedLine(1.0, 1.0).at(1.0)
        (25.0, 100.0, 50.0)
        """
        if self.high <= self.low:
            return 50.0
        return 100.0 * min(max((value - self.low) / (self.high - self.low), 0.0), 1.0)


def nice_step(least: float) -> float:
    """The smallest of 1, 2, 5 times a power of ten that is no less.

    Examples
    --------
    >>> [nice_step(least) for least in (0.7, 1.0, 1.2, 4600.0)]
    [1.0, 1.0, 2.0, 5000.0]
    """
    power = 1.0
    while power * 10 < least:
        power *= 10
    return next(power * factor for factor in (1.0, 2.0, 5.0, 10.0) if power * factor >= least)
