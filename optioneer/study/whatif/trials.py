"""How much is put into varying all figures together."""

from dataclasses import dataclass

from optioneer.errors import RequestError
from optioneer.study.problem.request import Request
from optioneer.study.unknowns.ranges import Ranged

FUTURES = 512
"""Futures that changed figures are valued on, unless others are asked for."""

POINTS = 1024
"""Points of each of the two samples of the figures, unless others are asked for."""

FEWEST_POINTS, MOST_POINTS = 64, 16384
"""Bounds on them."""

CHECKED = 3
"""Points at which the whole case is valued in full."""


@dataclass(frozen=True)
class Trials:
    """How much is put into it.

    Parameters
    ----------
    futures
        To value changed figures on.
    points
        Of each of the two samples of the figures, a power of 2.
    seconds
        After which no more pairs of figures are looked into; none: no limit.
    checked
        Points at which the whole case is valued in full on all its futures, to tell what is off.
    """

    futures: int = FUTURES
    points: int = POINTS
    seconds: float | None = None
    checked: int = CHECKED


@dataclass(frozen=True)
class TogetherRequest(Request):
    """What moves the advice, all figures varied together, is asked.

    Parameters
    ----------
    ranges
        What is varied, from `ranged_figures`; none: all figures, as far as usual. The horizon is
        left as it is, for it needs other draws; so are hours, whose price would be sought anew.

    Raises
    ------
    RequestError
        If a number of `trials` is not allowed.
    """

    ranges: tuple[Ranged, ...] | None = None
    trials: Trials = Trials()

    def __post_init__(self) -> None:
        """Refuse numbers that are not allowed before anything is valued."""
        super().__post_init__()
        points, seconds = self.trials.points, self.trials.seconds
        if not FEWEST_POINTS <= points <= MOST_POINTS or points & (points - 1):
            raise RequestError(
                f"{points} points are not allowed. Use a power of 2 from {FEWEST_POINTS} to "
                f"{MOST_POINTS}, e.g. {POINTS}."
            )
        if seconds is not None and not seconds > 0:
            raise RequestError(f"{seconds:g} seconds are not allowed. Give more than 0.")
