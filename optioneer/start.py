"""The way in: from the first moment Ctrl-C ends with a word, and no output is lost without one."""

import gc
from typing import NoReturn

from optioneer import standard_files

FAILED = 2
"""Exit code where the answer could not be put anywhere."""


def main() -> NoReturn:
    """Run the command that the arguments ask for, then leave with its exit code.

    Notes
    -----
    Nothing that takes time is imported before Ctrl-C is caught.
    """
    try:
        code = _run()
        standard_files.flush()
    except KeyboardInterrupt:
        standard_files.say("Stopped before it was done.")
        code = standard_files.INTERRUPTED
    except OSError as error:
        if error.filename is not None:
            raise
        standard_files.say(f"Standard output cannot be written ({error.strerror}).")
        standard_files.let_go()
        code = FAILED
    raise SystemExit(code)


def _run() -> "int | str | None":
    """The exit code of the command.

    Notes
    -----
    What is imported stays: looking through it for what nobody holds takes a tenth of that time, so
    that garbage is collected from where the work begins (`cli.progress.collect_garbage`).
    """
    standard_files.hold()
    gc.disable()
    from optioneer.cli import main as run  # noqa: PLC0415 - this import is what takes time

    try:
        run()
    except SystemExit as leaving:
        return leaving.code
