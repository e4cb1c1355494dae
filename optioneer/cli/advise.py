"""`optioneer new`, `check`, `advise` and `value`: from the quote to the order."""

import math
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar, weighing
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.study.advice.request import Aim

WEIGHT = 0.3
"""Of the worst tenth of futures, unless told."""

BreakEven = Annotated[
    bool,
    typer.Option(
        "--break-even",
        help="Also search for the chances and multipliers at which each verdict turns (slow).",
    ),
]

ProofFlag = Annotated[
    bool,
    typer.Option(
        "--proof/--no-proof", help="Prove how near the advice is to the best that anyone could do."
    ),
]

CALLS = "calls"

LEAST_AIM = 1e-6
"""No number of futures that can be drawn comes nearer [share of the net present cost]."""

Aimed = Annotated[
    str | None,
    typer.Option(
        "--precision",
        metavar="P%|calls",
        help="Draw twice the futures until half of the 95 % interval of the net present cost is "
        "within P % of it, e.g. 0.1%, or until no verdict is a close call.",
    ),
]

BeforeTax = Annotated[
    bool, typer.Option("--before-tax", help="Leave income tax out of all figures.")
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
def new(folder: Annotated[Path, typer.Argument(metavar="DIR", help="Folder to make.")]) -> None:
    """Make a starter case to fill in."""
    from optioneer.files.case.starter import write_starter

    told = f"A starter case is in {folder}. Put your quote in, then: optioneer check {folder}"
    with shell.last_act():
        write_starter(folder)
        typer.echo(told)


@shell.app.command("check")
def check(case: shell.CasePath) -> None:
    """Read a case and name everything that is wrong with it."""
    from optioneer.files.case.read import reading
    from optioneer.reports.advice.checked import check_page
    from optioneer.study.ready.first_chips import counted_on_dates, with_first_chips

    read = reading(case)
    figures, counted = shell.figures(read.case.machine.currency), counted_on_dates(read.case)
    shell.show(check_page(with_first_chips(read.case), read.notices, figures, counted=counted))


@shell.app.command("advise")
def advise(
    case: shell.CasePath,
    json: shell.JsonPath = None,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    budget: shell.Budget = None,
    break_even: BreakEven = False,  # noqa: FBT002 - the signature is typer's
    plan: shell.PlanId = None,
    before_tax: BeforeTax = False,  # noqa: FBT002 - the signature is typer's
    proof: ProofFlag = True,  # noqa: FBT002 - the signature is typer's
    precision: Aimed = None,
    risk: Risk = "mean",
    weight: Weight = None,
    time_limit: shell.TimeLimit = None,
    count: workers.Count = None,
    on: workers.Address = None,
) -> None:
    """Say which options to order now, retrofit or leave off, and why."""
    from optioneer.cli.cash import on_paying
    from optioneer.reports.advice.pages import advice_page
    from optioneer.study.advice.advice import advice
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.problem.effort import share_of

    shell.must_be_writable(json)
    weighed = _weight(risk, weight)
    compare = plan is not None and weighed is None
    request = AdviceRequest(
        shell.case_in(case),
        futures=futures,
        seed=seed,
        plan=plan,
        before_tax=before_tax,
        budget=budget,
        seconds=share_of(time_limit, 2 if compare else 1),
        weight=weighed,
        aim=None if precision is None else _aim(precision),
        break_even=break_even,
        prove=proof,
    )
    with progress_bar(weighing(request.counted)) as progress:
        answer = advice(request, progress=progress, pool=workers.pool_of(count, on))
    figures = shell.figures(answer.currency)
    # all paid at the order is weighed by the average alone
    extra = on_paying(request, answer, figures, compare=compare)
    shell.hand_over(answer, json, lambda: (*advice_page(request.counted, answer, figures), *extra))


def _weight(risk: str, weight: float | None) -> float | None:
    """Weight of the worst tenth; none: the average alone counts."""
    if risk not in {"mean", "cvar"}:
        raise RequestError(f"--risk: there is no '{risk}'. Write mean or cvar.")
    if risk == "mean":
        if weight is not None:
            raise RequestError("--weight goes with --risk cvar: with mean only the average counts.")
        return None
    return WEIGHT if weight is None else weight


def _aim(text: str) -> "Aim":
    """What `--precision` asks for."""
    from optioneer.study.advice.request import Aim

    if text.strip() == CALLS:
        return Aim()
    try:
        share = float(text.strip().removesuffix("%")) / 100.0
    except ValueError:
        share = math.nan
    if not text.strip().endswith("%") or not LEAST_AIM <= share < 1.0:
        raise RequestError(
            f"--precision {text!r} is neither '{CALLS}' nor a percentage from "
            f"{100 * LEAST_AIM:g} to below 100. Write e.g. 0.1%."
        )
    return Aim(share)


@shell.app.command("value")
def value(
    case: shell.CasePath,
    package: Annotated[
        str,
        typer.Option(
            "--package",
            metavar="ID|a,b,c",
            help="A package of the case, base, all, advised, or options beyond standard.",
        ),
    ],
    without: shell.Without = "",
    before_tax: BeforeTax = False,  # noqa: FBT002 - the signature is typer's
    json: shell.JsonPath = None,
) -> None:
    """Say what one package costs over the horizon."""
    from optioneer.reports.advice.pages import package_page
    from optioneer.study.advice.advice import package_value
    from optioneer.study.advice.request import PackageRequest

    shell.must_be_writable(json)
    request = PackageRequest(
        shell.case_in(case), package=package, without=shell.ids(without), before_tax=before_tax
    )
    with progress_bar("Valuing the package") as progress:
        answer = package_value(request, progress=progress)
    figures = shell.figures(request.case.machine.currency)
    shell.hand_over(answer, json, lambda: package_page(request.counted, answer, figures))
