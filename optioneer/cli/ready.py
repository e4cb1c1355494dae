"""`optioneer ready`: what the site lacks, and when first chips come."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.model.catalogue import Option
    from optioneer.study.site_answers import Readiness


@shell.app.command("ready")
def ready(
    case: shell.CasePath,
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
    json: shell.JsonPath = None,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", metavar="FILE", help="Draw the plan: .svg, .png, .pdf or .json."),
    ] = None,
) -> None:
    """Say what the site lacks for a package, what that costs, and when first chips come."""
    from optioneer.reports.roadmap import ready_page
    from optioneer.study.ready import readiness_of, shifts_of

    shell._must_be_writable(json)
    shell._must_be_writable(chart, "--chart")
    read, shifts = shell._read(case), shifts_of(late or [])
    name, options = _ordered(read, package, shell._ids(without))
    answer = readiness_of(read, name, options, shifts=shifts)
    if chart is not None:
        _draw_plan(answer, chart)
    figures = shell._figures(read.machine.currency)
    shell._hand_over(answer, json, lambda: ready_page(read, answer, figures))


def _ordered(
    case: "Case", package: str | None, without: tuple[str, ...]
) -> "tuple[str, tuple[Option, ...]]":
    """Name and everything fitted of the package asked for; the advised one if none is."""
    from optioneer.study.advise import advice
    from optioneer.study.choose import asked_package
    from optioneer.study.ready import fitted_options, options_named

    if package is None:
        with progress_bar("Weighing the packages") as progress:
            advised = advice(case, progress=progress).advised
        return "advised", options_named(case, advised.options)
    own = next((own for own in case.packages if own.id == package.strip()), None)
    chosen = own or asked_package(case, shell._ids(package), without)
    return chosen.id, fitted_options(case, chosen)


def _draw_plan(answer: "Readiness", file: Path) -> None:
    from optioneer.files.atomic import write_files_atomically
    from optioneer.reports.roadmap import gantt_marks, gantt_rows

    kind = file.suffix.lower().removeprefix(".")
    if kind not in shell.PICTURES:
        raise RequestError(
            f"--chart: {file} is no picture; end it in .{', .'.join(shell.PICTURES)}."
        )
    try:
        from optioneer.charts import gantt, image
    except ImportError as error:
        raise RequestError("--chart needs the charts: pip install 'optioneer[charts]'.") from error
    drawn = gantt(
        gantt_rows(answer), gantt_marks(answer), title=f"{answer.case}: road to first chips"
    )
    write_files_atomically(file.parent, {file.name: image(drawn, kind)})
