"""The command line: arguments in, text or JSON and an exit code out.

Nothing heavy is imported before a command runs, so that help answers at once.
"""

import os
from typing import NoReturn

from optioneer.cli import (
    advise,
    ask,
    cash,
    compare,
    in_browser,
    papers,
    ready,
    sensitivity,
    whatif,
    workbook,
)
from optioneer.cli.many import batch
from optioneer.cli.record import decide, facts
from optioneer.cli.shell import app
from optioneer.cli.start import command

__all__ = ["app", "main"]

COMMANDS = (
    command,
    advise,
    ask,
    cash,
    compare,
    batch,
    ready,
    whatif,
    sensitivity,
    papers,
    decide,
    facts,
    workbook,
    in_browser,
)
"""The modules that add their commands to `app`."""


def main() -> NoReturn:
    """Run the command that the arguments ask for, then leave with its exit code."""
    for library in ("OPENBLAS", "MKL", "OMP"):
        # The sweeps use every core already; threads within a matrix product would only contend.
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    app()
    raise SystemExit(0)
