"""The app over an engine made slow, whose computations are counted: ``... FILE PORT``.

Each begin and end of a computation adds a line to FILE: '+' or '-', and whose it is.
"""

import sys
import time
from pathlib import Path

from optioneer.app import launch
from optioneer.app.engine import work
from optioneer.app.engine.work import Errand

SLOW = 0.5
"""How much longer each answer takes than it would [s]."""


def count(file: Path) -> None:
    """Make every errand slow and counted."""
    quick = Errand._answer

    def told(sign: str, errand: Errand) -> None:
        with file.open("a", encoding="utf-8") as log:
            log.write(f"{sign} {id(errand.present)}\n")

    def slow(errand: Errand) -> None:
        told("+", errand)
        try:
            end = time.monotonic() + SLOW
            while time.monotonic() < end:
                time.sleep(work.TICK)
                errand._tell(0.0)
            quick(errand)
        finally:
            told("-", errand)

    Errand._answer = slow  # type: ignore[assignment,method-assign] # the seam that is watched


if __name__ == "__main__":
    count(Path(sys.argv[1]))
    port = int(sys.argv[2])
    launch.serve(None, address="127.0.0.1", port=port, browser=False, tell=print)
