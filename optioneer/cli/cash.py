"""`optioneer cash`, `account`, `bank`: the money of a package, and what a bank sees of it."""

from functools import partial
from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Annotated, Any

import typer

from optioneer.cli import pictures, shell
from optioneer.cli.progress import progress_bar, weighing
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.reports.page.money import Figures
    from optioneer.reports.page.parts import Part
    from optioneer.study.advice.answers import Advice
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.cash.cash import CashStudy


OnePlan = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="One way of paying; default: all of them."),
]
BankPlan = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="Way of paying; default: `use`, or the cheapest."),
]


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
        Path | None, typer.Option("--csv", metavar="FILE", help="Write every entry as a table.")
    ] = None,
    chart: Annotated[Path | None, pictures.option("Draw the months")] = None,
) -> None:
    """Say what leaves the bank when under each way of paying, and what each really costs."""
    from optioneer.reports.cash.page import cash_page
    from optioneer.reports.faces.cash_csv import cash_csv
    from optioneer.study.advice.package_choice import ordered_package
    from optioneer.study.cash.cash import cash as cash_study
    from optioneer.study.cash.delays import delayed_plans
    from optioneer.study.cash.plans import plans_of
    from optioneer.study.cash.works import unpriced_works

    for name, file in (("--json", json), ("--csv", csv)):
        shell.must_be_writable(file, name)
    pictures.must_be_picture(chart)
    if json is not None and csv is not None and str(json) == str(csv):
        raise RequestError(f"--json and --csv: both are {json}; name two files.")
    read = shell.case_in(case)
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

    pictures.draw(file, chart)


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


@shell.app.command("account")
def account(
    case: shell.CasePath,
    plan: OnePlan = None,
    package: shell.PackageName = None,
    without: shell.Without = "",
    json: shell.JsonPath = None,
) -> None:
    """Say how low the account falls with the machine in it, and which credit line would do."""
    from optioneer.reports.cash.account import account_page
    from optioneer.study.account.account import AccountRequest, asked_account

    shell.must_be_writable(json)
    request = AccountRequest(
        shell.case_in(case), package=package, without=shell.ids(without), only=plan
    )
    with progress_bar("Weighing the packages") as progress:
        _, told = asked_account(request, progress=progress)
    figures = shell.figures(told.answer.currency)
    title = request.case.machine.name
    shell.hand_over(told.answer, json, lambda: account_page(told.answer, title, figures))


@shell.app.command("bank")
def bank(
    case: shell.CasePath,
    plan: BankPlan = None,
    package: shell.PackageName = None,
    without: shell.Without = "",
    json: shell.JsonPath = None,
) -> None:
    """Say what a lender wants to see: terms, security, cash flow and cover, year by year."""
    from optioneer.reports.papers.bank import bank_page
    from optioneer.study.account.account import AccountRequest, asked_account
    from optioneer.study.account.cover import lenders_view, lent_plan

    shell.must_be_writable(json)
    request = AccountRequest(shell.case_in(case), package=package, without=shell.ids(without))
    with progress_bar("Weighing the packages") as progress:
        found, told = asked_account(request, progress=progress)
    answer = lenders_view(found, told, lent_plan(found.case, told, plan))
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: bank_page(found.case, told, answer, figures))
