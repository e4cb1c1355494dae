"""`optioneer ready`: what the site lacks, and when first chips come."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import pictures, shell
from optioneer.cli.progress import progress_bar, weighing

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.model.machine import Package
    from optioneer.study.ready.answers import Readiness


@shell.app.command("ready")
def ready(
    case: shell.CasePath,
    package: shell.PackageName = None,
    without: shell.Without = "",
    late: Annotated[
        list[str] | None,
        typer.Option(
            "--late",
            metavar="TASK=DAYS",
            help="What if a task takes so many days longer (below 0: shorter); may be repeated.",
        ),
    ] = None,
    json: shell.JsonPath = None,
    chart: Annotated[Path | None, pictures.option("Draw the plan")] = None,
) -> None:
    """Say what the site lacks for a package, what that costs, and when first chips come."""
    from optioneer.reports.ready.page import ready_page
    from optioneer.study.ready.ready import fitted_options, readiness_of, shifts_of

    shell.must_be_writable(json)
    pictures.must_be_picture(chart)
    read, shifts = shell.case_in(case), shifts_of(late or [])
    ordered = _package_asked_for(read, package, shell.ids(without))
    answer = readiness_of(read, ordered.id, fitted_options(read, ordered), shifts=shifts)
    if chart is not None:
        _draw_plan(answer, chart)
    figures = shell.figures(read.machine.currency)
    shell.hand_over(answer, json, lambda: ready_page(read, answer, figures))


def _package_asked_for(case: "Case", package: str | None, without: tuple[str, ...]) -> "Package":
    """The package asked for; the advised one if none is."""
    from optioneer.study.advice.package_choice import asked_by_name, weighed_package

    named = asked_by_name(case, package, without)
    if named is not None:
        return named
    with progress_bar(weighing(case)) as progress:
        return weighed_package(case, package, progress=progress)[0]


def _draw_plan(answer: "Readiness", file: Path) -> None:
    from optioneer.reports.ready.page import gantt_marks, gantt_rows

    title = f"{answer.case}: road to first chips"
    marks = gantt_marks(answer)
    pictures.draw(file, lambda charts: charts.gantt(gantt_rows(answer), marks, title=title))
