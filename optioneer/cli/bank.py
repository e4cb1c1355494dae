"""`optioneer account`: the account with the machine in it; `optioneer bank`: what a bank sees."""

from typing import Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar

OnePlan = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="One way of paying; default: all of them."),
]
BankPlan = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="Way of paying; default: `use`, or the cheapest."),
]


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
        shell.read(case), package=package, without=shell.ids(without), only=plan
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
    request = AccountRequest(shell.read(case), package=package, without=shell.ids(without))
    with progress_bar("Weighing the packages") as progress:
        found, told = asked_account(request, progress=progress)
    answer = lenders_view(found, told, lent_plan(found.case, told, plan))
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: bank_page(found.case, told, answer, figures))
