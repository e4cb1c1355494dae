"""The command line: arguments in, text or JSON and an exit code out.

Nothing heavy is imported before a command runs, so that help answers at once.
"""

import contextlib
import math
import os
import shutil
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer
from typer.core import TyperGroup

import optioneer
from optioneer.errors import CaseError, OptioneerError, RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.model.catalogue import Option
    from optioneer.reports.money import Figures
    from optioneer.reports.parts import Page
    from optioneer.study.answers import Answer
    from optioneer.study.site_answers import Readiness

USERS_MISTAKE = 2
INTERRUPTED = 130
"""128 + SIGINT, what a shell reports of a command stopped by Ctrl-C."""
READER_LEFT = 141
"""128 + SIGPIPE, what a shell reports of a command whose reader closed the pipe."""

PICTURES = ("svg", "png", "pdf", "json")
"""Kinds of files that a chart is drawn into."""

PATIENCE = 1.0
"""Work that lasts longer than this gets a progress bar [s]."""


class Shell(TyperGroup):
    """All commands, with one way of failing."""

    def invoke(self, ctx: Any) -> Any:
        """Run a command; a user's mistake becomes its sentences and exit code 2."""
        try:
            result = super().invoke(ctx)
            sys.stdout.flush()
        except OptioneerError as error:
            _complain(error)
            raise typer.Exit(USERS_MISTAKE) from error
        except KeyboardInterrupt as error:
            typer.echo("Stopped before it was done.", err=True)
            raise typer.Exit(INTERRUPTED) from error
        except BrokenPipeError as error:
            # what is still buffered must not fail once more when Python shuts down
            os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
            raise typer.Exit(READER_LEFT) from error
        return result


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
    try:
        amount = float(text)
    except ValueError:
        amount = math.nan
    if not 0 <= amount < math.inf:
        raise typer.BadParameter(
            f"{text!r} is not an amount of 0 or more. "
            "Write digits with a point, e.g. 350000 or 350000.50."
        )
    return amount


def _integer(text: str) -> int:
    try:
        return int(text)
    except ValueError as error:
        raise typer.BadParameter(f"{text!r} is not a whole number.") from error


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
Budget = Annotated[
    float | None,
    typer.Option(
        "--budget",
        metavar="AMOUNT",
        parser=_amount,
        help="Most that machine and options may cost together.",
    ),
]


BreakEven = Annotated[
    bool,
    typer.Option(
        "--break-even",
        help="Also search for the chances and multipliers at which each verdict turns (slow).",
    ),
]


Changes = list[str] | None
Name = str | None
Flag = bool | None
End = float | None


def _changes(what: str, form: str, does: str) -> Any:
    """An option that may be given several times."""
    return typer.Option(f"--{what}", metavar=form, help=does)


@app.callback()
def _options(
    version: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--version", callback=_version, is_eager=True, help="Show the version."),
    ] = False,
) -> None:
    pass


@app.command("new")
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")],
) -> None:
    """Make a starter case to fill in."""
    from optioneer.files.starter import write_starter

    write_starter(folder)
    typer.echo(f"A starter case is in {folder}. Put your quote in, then: optioneer check {folder}")


@app.command("check")
def check(case: CasePath) -> None:
    """Read a case and name everything that is wrong with it."""
    from optioneer.files.read import reading
    from optioneer.reports.pages import check_page

    read = reading(case)
    _show(check_page(read.case, read.notices, _figures(read.case.machine.currency)))


@app.command("advise")
def advise(
    case: CasePath,
    json: JsonPath = None,
    futures: FuturesCount = None,
    seed: Seed = None,
    budget: Budget = None,
    break_even: BreakEven = False,  # noqa: FBT002 - the signature is typer's
) -> None:
    """Say which options to order now, retrofit or leave off, and why."""
    from optioneer.reports.pages import advice_page
    from optioneer.study.advise import advice
    from optioneer.study.draws import with_draws

    _must_be_writable(json)
    read = with_draws(_read(case), futures, seed)
    with _progress("Weighing the packages") as progress:
        answer = advice(read, budget=budget, break_even=break_even, progress=progress)
    figures = _figures(read.machine.currency)
    _hand_over(answer, json, lambda: advice_page(read, answer, figures))


@app.command("value")
def value(
    case: CasePath,
    package: Annotated[
        str,
        typer.Option(
            "--package",
            metavar="a,b,c",
            help='Options ordered beyond standard; "" is the standard machine.',
        ),
    ],
    without: Annotated[
        str, typer.Option("--without", metavar="a,b", help="Standard items left off.")
    ] = "",
    json: JsonPath = None,
) -> None:
    """Say what one package costs over the horizon."""
    from optioneer.reports.pages import package_page
    from optioneer.study.value import package_value

    _must_be_writable(json)
    read = _read(case)
    with _progress("Valuing the package") as progress:
        answer = package_value(read, _ids(package), _ids(without), progress=progress)
    figures = _figures(read.machine.currency)
    _hand_over(answer, json, lambda: package_page(read, answer, figures))


@app.command("whatif")
def whatif(  # noqa: PLR0913, PLR0917 - the signature is typer's
    case: CasePath,
    nudge: Annotated[Changes, _changes("nudge", "DRIVER=SD", "Set a driver's nudge.")] = None,
    chance: Annotated[Changes, _changes("chance", "STREAM=P", "Set a stream's chance.")] = None,
    margin: Annotated[
        Changes, _changes("margin", "STREAM=M", "Set a likeliest yearly margin.")
    ] = None,
    multiplier: Annotated[
        Changes, _changes("multiplier", "OPTION=K", "Set a likeliest retrofit multiplier.")
    ] = None,
    price: Annotated[Changes, _changes("price", "OPTION=P", "Set a price.")] = None,
    horizon: Annotated[Changes, _changes("horizon", "YEARS", "Set the years looked ahead.")] = None,
    discount_rate: Annotated[
        Changes, _changes("discount-rate", "R", "Set the discount rate, e.g. 0.07.")
    ] = None,
    budget: Budget = None,
    json: JsonPath = None,
) -> None:
    """Say which verdicts turn when figures change; xFACTOR multiplies a figure, e.g. night=x1.2."""
    from optioneer.reports.whatif import what_if_page
    from optioneer.study.changes import FIGURES, asked_change
    from optioneer.study.whatif import what_if

    _must_be_writable(json)
    texts = (nudge, chance, margin, multiplier, price, horizon, discount_rate)
    given = zip(FIGURES, texts, strict=True)
    asked = [asked_change(what, text) for what, each in given for text in each or ()]
    read = _read(case)
    with _progress("Weighing the packages twice") as progress:
        answer = what_if(read, asked, budget=budget, progress=progress)
    _hand_over(answer, json, lambda: what_if_page(read, answer, _figures(answer.currency)))


@app.command("turning")
def turning(  # noqa: PLR0913, PLR0917 - the signature is typer's
    case: CasePath,
    driver: Annotated[Name, typer.Option(help="Driver whose nudge changes.")] = None,
    chance: Annotated[Name, typer.Option(help="Stream whose chance changes.")] = None,
    margin: Annotated[Name, typer.Option(help="Stream whose margin changes.")] = None,
    multiplier: Annotated[Name, typer.Option(help="Option whose multiplier changes.")] = None,
    price: Annotated[Name, typer.Option(help="Option whose price changes.")] = None,
    horizon: Annotated[Flag, typer.Option("--horizon", help="The horizon changes.")] = None,
    discount_rate: Annotated[Flag, typer.Option("--discount-rate", help="It changes.")] = None,
    low: Annotated[End, typer.Option("--from", metavar="VALUE", help="First value.")] = None,
    high: Annotated[End, typer.Option("--to", metavar="VALUE", help="Last value.")] = None,
    steps: Annotated[int, typer.Option(help="How many values are looked at.")] = 9,
    budget: Budget = None,
    json: JsonPath = None,
) -> None:
    """Say where along a range of one figure each verdict turns."""
    from optioneer.reports.whatif import turning_page
    from optioneer.study.changes import FIGURES, one_figure
    from optioneer.study.whatif import range_of, values_between
    from optioneer.study.whatif import turning as turns_along

    _must_be_writable(json)
    cases = ("" if asked else None for asked in (horizon, discount_rate))
    names = (driver, chance, margin, multiplier, price, *cases)
    figure = one_figure(dict(zip(FIGURES, names, strict=True)))
    read = _read(case)
    values = values_between(*range_of(read, figure, (low, high)), steps)
    with _progress("Weighing the packages at each value") as progress:
        answer = turns_along(read, figure, values, budget=budget, progress=progress)
    _hand_over(answer, json, lambda: turning_page(read, answer, _figures(answer.currency)))


@app.command("ready")
def ready(
    case: CasePath,
    package: Annotated[
        str | None,
        typer.Option(
            "--package",
            metavar="ID|a,b,c",
            help="A package of the case, or options ordered beyond standard; else the advised one.",
        ),
    ] = None,
    without: Annotated[
        str, typer.Option("--without", metavar="a,b", help="Standard items left off.")
    ] = "",
    late: Annotated[
        list[str] | None,
        typer.Option(
            "--late",
            metavar="TASK=DAYS",
            help="What if a task takes so many days longer (below 0: shorter); may be repeated.",
        ),
    ] = None,
    json: JsonPath = None,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", metavar="FILE", help="Draw the plan: .svg, .png, .pdf or .json."),
    ] = None,
) -> None:
    """Say what the site lacks for a package, what that costs, and when first chips come."""
    from optioneer.reports.roadmap import ready_page
    from optioneer.study.ready import readiness_of, shifts_of

    _must_be_writable(json)
    _must_be_writable(chart, "--chart")
    read, shifts = _read(case), shifts_of(late or [])
    name, options = _ordered(read, package, _ids(without))
    answer = readiness_of(read, name, options, shifts=shifts)
    if chart is not None:
        _draw_plan(answer, chart)
    figures = _figures(read.machine.currency)
    _hand_over(answer, json, lambda: ready_page(read, answer, figures))


def _ordered(
    case: "Case", package: str | None, without: tuple[str, ...]
) -> "tuple[str, tuple[Option, ...]]":
    """Name and everything fitted of the package asked for; the advised one if none is."""
    from optioneer.study.advise import advice
    from optioneer.study.choose import asked_package
    from optioneer.study.ready import fitted_options, options_named

    if package is None:
        with _progress("Weighing the packages") as progress:
            advised = advice(case, progress=progress).advised
        return "advised", options_named(case, advised.options)
    own = next((own for own in case.packages if own.id == package.strip()), None)
    chosen = own or asked_package(case, _ids(package), without)
    return chosen.id, fitted_options(case, chosen)


def _draw_plan(answer: "Readiness", file: Path) -> None:
    from optioneer.files.atomic import write_files_atomically
    from optioneer.reports.roadmap import gantt_marks, gantt_rows

    kind = file.suffix.lower().removeprefix(".")
    if kind not in PICTURES:
        raise RequestError(f"--chart: {file} is no picture; end it in .{', .'.join(PICTURES)}.")
    try:
        from optioneer.charts import gantt, image
    except ImportError as error:
        raise RequestError("--chart needs the charts: pip install 'optioneer[charts]'.") from error
    drawn = gantt(
        gantt_rows(answer), gantt_marks(answer), title=f"{answer.case}: road to first chips"
    )
    write_files_atomically(file.parent, {file.name: image(drawn, kind)})


def main() -> NoReturn:
    """Run the command that the arguments ask for, then leave with its exit code."""
    for library in ("OPENBLAS", "MKL", "OMP"):
        # The sweeps use every core already; threads within a matrix product would only contend.
        os.environ.setdefault(f"{library}_NUM_THREADS", "1")
    app()
    raise SystemExit(0)


def _read(folder: Path) -> "Case":
    """The case in `folder`; what should be known of it is told on standard error."""
    from optioneer.files.read import reading
    from optioneer.study.dated import dated

    read = reading(folder)
    for notice in read.notices:
        _tell(f"Note: {notice}")
    return dated(read.case)


def _ids(text: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in text.split(",") if part.strip())


def _figures(currency: str) -> "Figures":
    from optioneer.reports.money import Figures, locale_of

    return Figures(currency, locale_of(os.environ))


def _must_be_writable(json: Path | None, option: str = "--json") -> None:
    """Refuse a place that cannot take the answer before the work is done, not after it."""
    if json is not None and str(json) != "-" and (json.is_dir() or not json.parent.is_dir()):
        raise RequestError(f"{option}: {json} is no file in an existing folder.")


def _hand_over(answer: "Answer", json: Path | None, page: "Callable[[], Page]") -> None:
    text = answer.model_dump_json(indent=2, by_alias=True) + "\n"
    if json is not None and str(json) == "-":
        _emit(text, "utf-8")  # JSON is UTF-8 whatever the terminal speaks
        return
    try:
        if json is not None:
            from optioneer.files.atomic import write_text_atomically

            write_text_atomically(json, text)
    finally:
        _show(page())


def _show(page: "Page") -> None:
    from optioneer.reports.terminal import in_encoding, terminal_text

    width = shutil.get_terminal_size(fallback=(100, 40)).columns
    text = terminal_text(page, width=width, styled=_styled())
    encoding = sys.stdout.encoding or "utf-8"
    _emit(in_encoding(text, encoding), encoding)


def _styled() -> bool:
    plain = os.environ.get("NO_COLOR") or os.environ.get("TERM") == "dumb"
    return sys.stdout.isatty() and not plain


def _emit(text: str, encoding: str) -> None:
    sys.stdout.flush()
    sys.stdout.buffer.write(text.encode(encoding, "replace"))
    sys.stdout.buffer.flush()


def _complain(error: OptioneerError) -> None:
    from optioneer.reports.faults import fault_lines

    lines = fault_lines(error.faults) if isinstance(error, CaseError) else (str(error),)
    for line in lines:
        _tell(line)


def _tell(line: str) -> None:
    """One line on standard error, whatever the case put into it."""
    clean = "".join(letter if letter.isprintable() else " " for letter in line)
    encoding = sys.stderr.encoding or "utf-8"
    typer.echo(clean.encode(encoding, "replace").decode(encoding), err=True)


@contextlib.contextmanager
def _progress(doing: str) -> "Iterator[Callable[[float], None]]":
    """A callback that moves a bar on standard error, shown once the work has lasted a while."""
    if not sys.stderr.isatty():
        yield lambda _: None
        return
    from rich.console import Console
    from rich.progress import Progress

    bar = Progress(console=Console(stderr=True), transient=True)
    task = bar.add_task(doing, total=1.0)
    delay = threading.Timer(PATIENCE, bar.start)
    delay.start()
    try:
        yield lambda done: bar.update(task, completed=done)
    finally:
        delay.cancel()
        delay.join()
        bar.stop()
