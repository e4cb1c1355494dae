"""`optioneer cash`: the money of a package; and what the way of paying does to the advice."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer import cli
from optioneer.cli.progress import progress_bar
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.reports.money import Figures
    from optioneer.reports.parts import Part
    from optioneer.study.answers import Advice
    from optioneer.study.cash import CashStudy


def cash(
    case: cli.CasePath,
    plan: Annotated[
        str, typer.Option("--plan", metavar="ID", help="One way of paying day by day, or all.")
    ] = "all",
    package: Annotated[
        str | None,
        typer.Option(
            "--package",
            metavar="ID|a,b,c",
            help="A package of the case, base, or options; default: the advised one.",
        ),
    ] = None,
    without: Annotated[
        str, typer.Option("--without", metavar="a,b", help="Standard items left off.")
    ] = "",
    json: cli.JsonPath = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Write every entry as a table."),
    ] = None,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", metavar="FILE", help="Draw the months, as .svg or .png."),
    ] = None,
) -> None:
    """Say what leaves the bank when under each way of paying, and what each really costs."""
    from optioneer.reports.cash_csv import cash_csv
    from optioneer.reports.cash_page import cash_page
    from optioneer.study.cash import cash as cash_study
    from optioneer.study.delays import delayed_plans
    from optioneer.study.ordered import ordered_package
    from optioneer.study.plans import plans_of

    for name, file in (("--json", json), ("--csv", csv), ("--chart", chart)):
        cli._must_be_writable(file, name)
    if json is not None and csv is not None and str(json) == str(csv):
        raise RequestError(f"--json and --csv: both are {json}; name two files.")
    read = cli._read(case)
    only = None if plan == "all" else plan
    plans_of(read, only)
    with progress_bar("Weighing the packages") as progress:
        ordered, bands = ordered_package(read, package, cli._ids(without), progress=progress)
    study = cash_study(read, ordered, plan=only)
    _draw(read, study, chart)
    if csv is not None and str(csv) == "-":  # the table has standard output to itself
        cli._emit(cash_csv(study), "utf-8")
        cli._write_text(json, study.answer.model_dump_json(indent=2) + "\n")
        return
    cli._write_text(csv, cash_csv(study))
    figures = cli._figures(read.machine.currency)
    delays = [row for row in delayed_plans(read, ordered) if only in {None, row.plan}]
    page = partial(cash_page, read, study, figures, delays=delays, bands=bands)
    cli._hand_over(study.answer, json, page)


def _draw(case: "Case", study: "CashStudy", file: Path | None) -> None:
    if file is None:
        return
    if file.suffix not in {".svg", ".png"}:
        raise RequestError(f"--chart: {file} ends neither in .svg nor in .png.")
    try:
        from optioneer import charts
    except ImportError as error:
        raise RequestError(
            "--chart: drawing needs more libraries: pip install 'optioneer[charts]'."
        ) from error
    from optioneer.files.atomic import write_files_atomically

    keep = case.paying.account.keep_above if case.paying else 0.0
    picture = charts.cash_picture(study, keep_above=keep, suffix=file.suffix)
    write_files_atomically(file.parent, {file.name: picture})


def counted_on(case: "Case", plan: str | None) -> "Case":
    """The case with the plan that is asked for in use."""
    if plan is None:
        return case
    from optioneer.study.factor import counting_on

    return counting_on(case, plan)


def on_paying(
    case: "Case", told: "Advice", figures: "Figures", *, compare: bool
) -> "tuple[Part, ...]":
    """What the plan in use does to the advice; nothing when none is."""
    if case.paying is None or case.paying.use is None:
        return ()
    from optioneer.reports.turned import way_of_paying
    from optioneer.study.advise import advice
    from optioneer.study.factor import counting_on, used_factor

    at_once = None
    if compare:
        with progress_bar("Weighing them again, all paid at the order") as progress:
            at_once = advice(counting_on(case, None), budget=told.budget, progress=progress)
    return way_of_paying(case, told, figures, factor=used_factor(case), at_once=at_once)
