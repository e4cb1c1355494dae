"""How long a search may take, and how it is stopped."""

import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Literal, TypeVar

from optioneer.errors import RequestError
from optioneer.model.machine import Package

LONGEST = 75.0
"""Time that a search takes at most unless told [s]."""

GLANCE = 0.2
"""How often Ctrl-C is looked for while the solver works [s]."""

Stopped = Literal["time", "interrupt"] | None
"""What ended a search early."""

Found = TypeVar("Found")


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
    """

    seconds: float = LONGEST
    budget: float | None = None
    also: tuple[Package, ...] = ()
    search: bool = True


def effort_of(seconds: float | None, budget: float | None = None) -> Effort:
    """The effort that is asked for.

    Raises
    ------
    RequestError
        If no time is left to search.
    """
    if seconds is None:
        return Effort(budget=budget)
    if not seconds > 0:
        raise RequestError(f"--time-limit {seconds:g} is not above 0. Give seconds.")
    return Effort(seconds=seconds, budget=budget)


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


def apart(work: Callable[[], Found]) -> Found:
    """What `work` returns, done beside the main thread so that Ctrl-C is heard at once."""
    found: list[Found] = []
    failed: list[BaseException] = []

    def kept() -> None:
        try:
            found.append(work())
        except BaseException as error:  # noqa: BLE001 - raised again below, in the other thread
            failed.append(error)

    thread = threading.Thread(target=kept, daemon=True)
    thread.start()
    while thread.is_alive():
        thread.join(GLANCE)
    if failed:
        raise failed[0]
    return found[0]
