"""`optioneer cash`: the money of a package; and what the way of paying does to the advice."""

from functools import partial
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Annotated, Any

import typer

from optioneer.cli import shell
from optioneer.cli.pictures import draw, must_be_picture
from optioneer.cli.progress import progress_bar, weighing
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.reports.page.money import Figures
    from optioneer.reports.page.parts import Part
    from optioneer.study.advice.answers import Advice
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.cash.cash import CashStudy


@shell.app.command("cash")
def cash(
    case: shell.CasePath,
    plan: Annotated[
        str, typer.Option("--plan", metavar="ID", help="One way of paying day by day, or all.")
    ] = "all",
    package: shell.PackageName = None,
    without: shell.Without = "",
    json: shell.JsonPath = None,
    csv: Annotated[
        Path | None,
        typer.Option("--csv", metavar="FILE", help="Write every entry as a table."),
    ] = None,
    chart: Annotated[
        Path | None,
        typer.Option("--chart", metavar="FILE", help="Draw the months: .svg, .png, .pdf or .json."),
    ] = None,
) -> None:
    """Say what leaves the bank when under each way of paying, and what each really costs."""
    from optioneer.reports.cash.page import cash_page
    from optioneer.reports.faces.cash_csv import cash_csv
    from optioneer.study.advice.ordered import ordered_package
    from optioneer.study.cash.cash import cash as cash_study
    from optioneer.study.cash.delays import delayed_plans
    from optioneer.study.cash.plans import plans_of
    from optioneer.study.cash.works import unpriced_works

    for name, file in (("--json", json), ("--csv", csv)):
        shell.must_be_writable(file, name)
    must_be_picture(chart)
    if json is not None and csv is not None and str(json) == str(csv):
        raise RequestError(f"--json and --csv: both are {json}; name two files.")
    read = shell.read(case)
    only = None if plan == "all" else plan
    plans_of(read, only)
    with progress_bar(weighing(read)) as progress:
        ordered, bands = ordered_package(read, package, shell.ids(without), progress=progress)
    study = cash_study(read, ordered, plan=only)
    _draw(read, study, chart)
    if csv is not None and str(csv) == "-":  # the table has standard output to itself
        shell.emit(cash_csv(study), "utf-8")
        shell.write_text(json, study.answer.model_dump_json(indent=2) + "\n")
        return
    shell.write_text(csv, cash_csv(study))
    figures = shell.figures(study.answer.currency)
    delays = delayed_plans(read, ordered)
    shown = [row for row in delays if only in {None, row.plan}]
    unpriced = unpriced_works(read, ordered)
    page = partial(cash_page, read, study, figures, delays=shown, bands=bands, unpriced=unpriced)
    shell.hand_over(study.answer, json, page)


def _draw(case: "Case", study: "CashStudy", file: Path | None) -> None:
    if file is None:
        return
    from optioneer.reports.cash.rows import balance_rows, moved_rows

    def chart(_: ModuleType) -> Any:
        from optioneer.charts.cash import cash_chart

        return cash_chart(
            moved_rows(study.ledgers, study.answer.currency),
            balance_rows(study.ledgers, study.answer.currency),
            currency=study.answer.currency,
            keep_above=case.paying.account.keep_above if case.paying else 0.0,
        )

    draw(file, chart)


def on_paying(
    request: "AdviceRequest", told: "Advice", figures: "Figures", *, compare: bool
) -> "tuple[Part, ...]":
    """What the plan in use does to the advice; nothing when none is."""
    case = request.counted
    if case.paying is None or case.paying.use is None:
        return ()
    from optioneer.reports.advice.attitude import way_of_paying
    from optioneer.study.advice.advice import advice
    from optioneer.study.cash.financing import used_factor

    at_once = None
    if compare:
        with progress_bar("Weighing them again, all paid at the order") as progress:
            at_once = advice(request.at_the_order, progress=progress)
    return way_of_paying(case, told, figures, factor=used_factor(case), at_once=at_once)
