"""Work that is begun before it is its turn, as another process does it."""

from collections.abc import Callable
from concurrent.futures import Future, wait
from typing import Any

from optioneer.study.problem.effort import Progress

TICK = 0.02
"""How often who waits for it looks whether he still wants to [s]."""


class Ahead:
    """A stage that is worked on before it is its turn.

    Parameters
    ----------
    stage
        Which.
    heard
        Raises once it is no longer wanted.
    """

    def __init__(self, stage: Callable[[Progress], Any], heard: Callable[[], None]) -> None:
        self._stage, self._heard, self._share = stage, heard, 0.0
        self._found: Future[Any] = Future()

    def run(self) -> None:
        """Do it."""
        try:
            self._found.set_result(self._stage(self._tell))
        except BaseException as error:  # noqa: BLE001 - comes out of the result
            self._found.set_exception(error)

    def result(self, told: Progress) -> Any:
        """What came of it, once it is there."""
        while not wait([self._found], timeout=TICK).done:
            told(self._share)
        return self._found.result()

    def _tell(self, share: float) -> None:
        self._heard()
        self._share = share
