"""How far the work is, how long a search may take, and how it is stopped."""

import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal

from optioneer.errors import RequestError
from optioneer.model.machine import Package

Progress = Callable[[float], None]
"""Called again and again with the share of the work that is done, 0..1.

It may raise to stop the work: the exception comes out of the question that was asked, within the
time of one block of futures, and nothing is left running.
"""


def part_of(progress: Progress | None, start: float, end: float) -> Progress | None:
    """What to tell of a part of the work that takes it from `start` to `end`."""
    if progress is None:
        return None
    return lambda done: progress(start + (end - start) * done)


LONGEST = 85.0
"""Time that a search takes at most unless told [s]."""

LEAST_SHARE = 0.25
"""Of the time that a search may take, what is left to it whatever came before."""

Stopped = Literal["time", "interrupt"] | None
"""What ended a search early."""


@dataclass(frozen=True)
class Effort:
    """What is searched where a cluster has too many packages to value them all.

    Parameters
    ----------
    seconds
        Most that the search may take [s]; what it has found by then is valued nonetheless.
    budget
        Limit on the price that is going to be kept to, if any [money].
    also
        Packages that are valued whatever the search finds.
    search
        Whether to search at all.
    swept
        Most that valuing every package of a cluster may take, a search coming in its place; none:
        as long as it takes [s].
    """

    seconds: float = LONGEST
    budget: float | None = None
    also: tuple[Package, ...] = ()
    search: bool = True
    swept: float | None = None

    def after(self, taken: float) -> "Effort":
        """What is left to search when so much time has gone by [s]; a part of it is in any case."""
        return replace(self, seconds=max(self.seconds - taken, LEAST_SHARE * self.seconds))


def effort_of(
    seconds: float | None, budget: float | None = None, also: Sequence[Package] = ()
) -> Effort:
    """The effort that is asked for.

    Parameters
    ----------
    seconds
        Most that the search may take [s]; none: as usual.
    budget, also
        As of `Effort`.

    Raises
    ------
    RequestError
        If no time is left to search.
    """
    if seconds is None:
        return Effort(budget=budget, also=tuple(also))
    if not seconds > 0:
        raise RequestError(f"--time-limit {seconds:g} is not above 0. Give seconds.")
    return Effort(seconds=seconds, budget=budget, also=tuple(also), swept=seconds)


def share_of(seconds: float | None, parts: int) -> float | None:
    """What each of several valuations may take, so that all of them keep to the limit [s].

    Raises
    ------
    RequestError
        If no time is left to search.
    """
    return None if seconds is None else effort_of(seconds).seconds / max(parts, 1)


@dataclass
class Clock:
    """Time that is left, and whether somebody wants to stop."""

    seconds: float
    stopped: Stopped = None
    start: float = field(default_factory=time.monotonic)

    def left(self, share: float = 1.0) -> float:
        """Time left of a share of the whole [s]; 0 once stopped."""
        if self.stopped is not None:
            return 0.0
        return max(share * self.seconds - (time.monotonic() - self.start), 0.0)

    def over(self, share: float = 1.0) -> bool:
        """Whether a share of the time is used up; noted once all of it is."""
        if self.stopped is None and self.left() <= 0.0:
            self.stopped = "time"
        return self.left(share) <= 0.0

    def attempt(self, work: Callable[[], None]) -> None:
        """Do some work that Ctrl-C ends; what it has kept so far stays."""
        if self.over():
            return
        try:
            work()
        except KeyboardInterrupt:
            self.stopped = "interrupt"


@dataclass
class Heard:
    """How far a search is, for somebody who may want to stop it.

    Parameters
    ----------
    progress
        Told the share of the work that is done, 0..1; it may raise.
    """

    progress: Callable[[float], None] | None
    done: float = 0.0

    def now(self, done: float) -> None:
        """Tell how much is done."""
        self.done = done
        self.again()

    def again(self) -> None:
        """Tell the same again, so that whoever listens can stop the work."""
        if self.progress is not None:
            self.progress(self.done)
