"""`optioneer new`, `check`, `advise` and `value`: from the quote to the order."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.study.answers import Advice

WEIGHT = 0.3
"""Of the worst tenth of futures, unless told."""

BreakEven = Annotated[
    bool,
    typer.Option(
        "--break-even",
        help="Also search for the chances and multipliers at which each verdict turns (slow).",
    ),
]

PlanId = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="Way of paying counted on, instead of `use`."),
]

Risk = Annotated[
    str,
    typer.Option(
        "--risk",
        metavar="mean|cvar",
        help="What counts: the average, or the average and the worst tenth of futures.",
    ),
]

Weight = Annotated[
    float | None,
    typer.Option(
        "--weight", metavar="W", help=f"Of the worst tenth with --risk cvar; default {WEIGHT}."
    ),
]


@shell.app.command("new")
def new(
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")],
) -> None:
    """Make a starter case to fill in."""
    from optioneer.files.starter import write_starter

    write_starter(folder)
    typer.echo(f"A starter case is in {folder}. Put your quote in, then: optioneer check {folder}")


@shell.app.command("check")
def check(case: shell.CasePath) -> None:
    """Read a case and name everything that is wrong with it."""
    from optioneer.files.read import reading
    from optioneer.reports.pages import check_page

    read = reading(case)
    shell.show(check_page(read.case, read.notices, shell.figures(read.case.machine.currency)))


@shell.app.command("advise")
def advise(  # noqa: PLR0913, PLR0917 - the signature is typer's
    case: shell.CasePath,
    json: shell.JsonPath = None,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    budget: shell.Budget = None,
    break_even: BreakEven = False,  # noqa: FBT002 - the signature is typer's
    plan: PlanId = None,
    risk: Risk = "mean",
    weight: Weight = None,
) -> None:
    """Say which options to order now, retrofit or leave off, and why."""
    from optioneer.cli.cash import counted_on, on_paying
    from optioneer.reports.pages import advice_page
    from optioneer.study.draws import with_draws

    shell.must_be_writable(json)
    cautious = _weight(risk, weight, break_even=break_even)
    read = counted_on(with_draws(shell.read(case), futures, seed), plan)
    answer = _weighed(read, cautious, budget=budget, break_even=break_even)
    figures = shell.figures(read.machine.currency)
    # all paid at the order is weighed by the average alone
    extra = on_paying(read, answer, figures, compare=plan is not None and cautious is None)
    shell.hand_over(answer, json, lambda: (*advice_page(read, answer, figures), *extra))


def _weight(risk: str, weight: float | None, *, break_even: bool) -> float | None:
    """Weight of the worst tenth; none: the average alone counts."""
    if risk not in {"mean", "cvar"}:
        raise RequestError(f"--risk: there is no '{risk}'. Write mean or cvar.")
    if risk == "mean":
        if weight is not None:
            raise RequestError("--weight goes with --risk cvar: with mean only the average counts.")
        return None
    if break_even:
        raise RequestError("--break-even counts the average: leave it out with --risk cvar.")
    return WEIGHT if weight is None else weight


def _weighed(
    case: "Case", weight: float | None, *, budget: float | None, break_even: bool
) -> "Advice":
    with progress_bar("Weighing the packages") as progress:
        if weight is None:
            from optioneer.study.advise import advice

            return advice(case, budget=budget, break_even=break_even, progress=progress)
        from optioneer.study.cautious import cautious_advice

        return cautious_advice(case, weight=weight, budget=budget, progress=progress)


@shell.app.command("value")
def value(
    case: shell.CasePath,
    package: Annotated[
        str,
        typer.Option(
            "--package",
            metavar="a,b,c",
            help='Options ordered beyond standard; "" is the standard machine.',
        ),
    ],
    without: shell.Without = "",
    json: shell.JsonPath = None,
) -> None:
    """Say what one package costs over the horizon."""
    from optioneer.reports.pages import package_page
    from optioneer.study.value import package_value

    shell.must_be_writable(json)
    read = shell.read(case)
    with progress_bar("Valuing the package") as progress:
        answer = package_value(read, shell.ids(package), shell.ids(without), progress=progress)
    figures = shell.figures(read.machine.currency)
    shell.hand_over(answer, json, lambda: package_page(read, answer, figures))
