"""What all commands share: the arguments, one way of failing, and where answers go.

Nothing heavy is imported before a command runs, so that help answers at once.
"""

import errno
import math
import os
import shutil
import sys
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer
from typer.core import TyperGroup

import optioneer
from optioneer.errors import CaseError, OptioneerError, RequestError
from optioneer.standard_files import INTERRUPTED, flush, let_go, say

if TYPE_CHECKING:
    from contextlib import AbstractContextManager

    from optioneer.model.case import Case
    from optioneer.reports.page.money import Figures
    from optioneer.reports.page.parts import Page
    from optioneer.study.answer import Answer

USERS_MISTAKE = 2
READER_LEFT = 141
"""128 + SIGPIPE, what a shell reports of a command whose reader closed the pipe."""

PICTURES = ("svg", "png", "pdf", "json")
"""Kinds of files that a chart is drawn into."""


class Shell(TyperGroup):
    """All commands, with one way of failing."""

    def make_context(self, *args: Any, **extra: Any) -> Any:
        """Read the arguments; stopped meanwhile it says so, as when a command is stopped."""
        try:
            return super().make_context(*args, **extra)
        except KeyboardInterrupt as error:
            raise _exit_when_stopped() from error

    def invoke(self, ctx: Any) -> Any:
        """Run a command; a user's mistake becomes its sentences and exit code 2."""
        try:
            result = super().invoke(ctx)
            flush()
        except OptioneerError as error:
            _complain(error)
            raise typer.Exit(USERS_MISTAKE) from error
        except KeyboardInterrupt as error:
            raise _exit_when_stopped() from error
        except BrokenPipeError as error:
            let_go()
            raise typer.Exit(READER_LEFT) from error
        except OSError as error:
            _refused_by_the_system(error)
            raise typer.Exit(USERS_MISTAKE) from error
        return result


def _exit_when_stopped() -> typer.Exit:
    say("Stopped before it was done.")
    return typer.Exit(INTERRUPTED)


SYSTEM = frozenset(
    {
        errno.ENOSPC,
        errno.EDQUOT,
        errno.EFBIG,
        errno.EIO,
        errno.EROFS,
        errno.EACCES,
        errno.EPERM,
        errno.ENAMETOOLONG,
        errno.ELOOP,
        errno.ENOTDIR,
        errno.EISDIR,
        errno.EMFILE,
        errno.ENFILE,
    }
)
"""What the system refuses for reasons of its own: full, forbidden, too long a name.

All else that it refuses is a fault of the program.
"""


def _refused_by_the_system(error: OSError) -> None:
    if error.errno not in SYSTEM:
        raise error
    where = error.filename
    if where is None:
        let_go()
    place = "Standard output" if where is None else os.fsdecode(where)
    tell(f"{place}: {error.strerror}. Nothing more was done.")


app = typer.Typer(
    cls=Shell,
    name="optioneer",
    help="Which options of a new machine tool to order now, which to leave for a retrofit, "
    "which to leave off.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _version(asked: bool) -> None:  # noqa: FBT001 - the signature is typer's
    if asked:
        typer.echo(f"optioneer {optioneer.__version__}")
        raise typer.Exit


def _amount(text: str) -> float:
    from optioneer.model.fact import LARGEST_AMOUNT

    try:
        amount = float(text)
    except ValueError:
        amount = math.nan
    if not 0 <= amount < LARGEST_AMOUNT:
        raise typer.BadParameter(
            f"{text!r} is not an amount of 0 or more and below {LARGEST_AMOUNT:,.0f}. "
            "Write digits with a point, e.g. 350000 or 350000.50."
        )
    return amount


def _integer(text: str) -> int:
    try:
        return int(text)
    except ValueError as error:
        raise typer.BadParameter(f"{text!r} is not a whole number.") from error


PackageName = Annotated[
    str | None,
    typer.Option(
        "--package",
        metavar="ID|a,b,c",
        help="A package of the case, base, all, or options; default: the advised one.",
    ),
]
Without = Annotated[str, typer.Option("--without", metavar="a,b", help="Standard items left off.")]
CasePath = Annotated[Path, typer.Argument(metavar="CASE", help="Folder of the case.")]
JsonPath = Annotated[
    Path | None,
    typer.Option("--json", metavar="FILE", help="Write the answer as JSON; - is standard output."),
]
FuturesCount = Annotated[
    int | None,
    typer.Option(
        "--futures", metavar="N", parser=_integer, help="Futures drawn, instead of the case's."
    ),
]
Seed = Annotated[
    int | None,
    typer.Option(
        "--seed", metavar="S", parser=_integer, help="Seed of the draws, instead of the case's."
    ),
]
PlanId = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="Way of paying counted on, instead of `use`."),
]
TimeLimit = Annotated[
    float | None,
    typer.Option(
        "--time-limit",
        metavar="SECONDS",
        help="Most that a search may take where too many options are tied together to value "
        "every package; Ctrl-C ends it too. What it has found by then is the answer.",
    ),
]
Budget = Annotated[
    float | None,
    typer.Option(
        "--budget",
        metavar="AMOUNT",
        parser=_amount,
        help="Most that machine and options may cost together.",
    ),
]


@app.callback()
def _options(
    version: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    pass


def case_in(folder: Path) -> "Case":
    """The case in `folder`; what should be known of it is told on standard error."""
    return read_with_texts(folder)[0]


def read_with_texts(folder: Path) -> "tuple[Case, Mapping[str, str]]":
    """The case in `folder` and the texts that it was read from, of one moment."""
    from optioneer.files.cache import keep_between_commands
    from optioneer.files.case.read import reading
    from optioneer.study.ready.first_chips import with_first_chips

    keep_between_commands(os.environ)
    found = reading(folder)
    for notice in found.notices:
        tell(f"Note: {notice}")
    if found.case.site is not None:
        _tell_of_site(found.case)
    return with_first_chips(found.case), found.texts


def _tell_of_site(case: "Case") -> None:
    """What the advice cannot count because the site leaves it open."""
    from optioneer.study.ready.first_chips import undated_base, with_first_chips
    from optioneer.study.ready.step_costs import undated_kinds, unpriced_kinds

    for kind in unpriced_kinds(case):
        tell(
            f"Note: site.toml: some package needs a {kind} that has no price; what the "
            f"{kind} costs is in no package's figures. Give every {kind} a price."
        )
    for kind in undated_kinds(case):
        tell(
            f"Note: site.toml: some package needs a {kind} that has no lead time; what waiting for "
            f"it costs is in no package's figures. Give every {kind} its lead_days."
        )
    missing = undated_base(case)
    if missing:
        day = with_first_chips(case).dates.first_chips_date.isoformat()
        tell(
            f"Note: site.toml: first chips have no date; the advice counts on {day}, the earliest "
            f"possible. Missing: {'; '.join(missing)}."
        )


def ids(text: str) -> tuple[str, ...]:
    """Ids in a list with commas."""
    return tuple(part.strip() for part in text.split(",") if part.strip())


def figures(currency: str) -> "Figures":
    """How money is written, by currency and the locale of the shell."""
    from optioneer.reports.page.money import Figures, locale_of

    return Figures(currency, locale_of(os.environ))


def must_be_writable(file: Path | None, option: str = "--json") -> None:
    """Refuse a place that cannot take the answer before the work is done, not after it."""
    if file is None or str(file) == "-":
        return
    try:
        wrong = file.is_dir() or not file.parent.is_dir()
        file.exists()  # the system says here what it thinks of the name
    except OSError as error:
        raise RequestError(f"{option}: {error.strerror}: {str(file)[:60]} ...") from error
    if wrong:
        raise RequestError(f"{option}: {file} is no file in an existing folder.")


def hand_over(answer: "Answer", json: Path | None, page: "Callable[[], Page]") -> None:
    """Write the answer as JSON where asked for, and show its page unless JSON is on stdout."""
    text = answer.model_dump_json(indent=2, by_alias=True) + "\n"
    if json is not None and str(json) == "-":
        emit(text, "utf-8")  # JSON is UTF-8 whatever the terminal speaks
        return
    try:
        write_text(json, text)
    finally:
        show(page())


def write_text(file: Path | None, text: str) -> None:
    """Write a file in one step, if one is asked for."""
    if file is not None:
        from optioneer.files.plain.atomic import write_text_atomically

        write_text_atomically(file, text)


def last_act() -> "AbstractContextManager[None]":
    """The last act of a command: Ctrl-C meanwhile stops nothing, for then all is done and said."""
    from optioneer.files.saving.interrupts import uninterrupted

    return uninterrupted(dropped=True)


def write_file(file: Path, data: bytes, told: str) -> None:
    """The last act of a command that makes a file: write it in one step and say so."""
    from optioneer.files.saving.commit import write_files_atomically

    with last_act():
        write_files_atomically(file.parent, {file.name: data})
        typer.echo(told)


def show(page: "Page") -> None:
    """Print a page, as wide as the terminal and in what it can show."""
    from optioneer.reports.faces.terminal import in_encoding, terminal_text

    width = shutil.get_terminal_size(fallback=(100, 40)).columns
    text = terminal_text(page, width=width, styled=_may_style())
    encoding = getattr(sys.stdout, "encoding", None) or "utf-8"
    emit(in_encoding(text, encoding), encoding)


def _may_style() -> bool:
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout is not None and sys.stdout.isatty() and not plain


def emit(text: str, encoding: str) -> None:
    """Put text on standard output in an encoding, whatever the terminal believes."""
    if sys.stdout is None:
        raise RequestError("Standard output is closed: there is nowhere to put the answer.")
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode(encoding, "replace"))
    sys.stdout.buffer.flush()


def _complain(error: OptioneerError) -> None:
    from optioneer.reports.advice.checked import fault_lines

    lines = fault_lines(error.faults) if isinstance(error, CaseError) else (str(error),)
    for line in lines:
        tell(line)


def tell(line: str) -> None:
    """One line on standard error, whatever the case put into it."""
    clean = "".join(letter if letter.isprintable() else " " for letter in line)
    encoding = getattr(sys.stderr, "encoding", None) or "utf-8"
    typer.echo(clean.encode(encoding, "replace").decode(encoding), err=True)
