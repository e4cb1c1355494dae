"""`optioneer new`, `check`, `advise` and `value`: from the quote to the order."""

import math
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.study.precision import Aim

BreakEven = Annotated[
    bool,
    typer.Option(
        "--break-even",
        help="Also search for the chances and multipliers at which each verdict turns (slow).",
    ),
]

Proof = Annotated[
    bool,
    typer.Option(
        "--proof/--no-proof",
        help="Prove how near the advice is to the best that anyone could do.",
    ),
]

CALLS = "calls"

Aimed = Annotated[
    str | None,
    typer.Option(
        "--precision",
        metavar="P%|calls",
        help="Draw twice the futures until half of the 95 % interval of the net present cost is "
        "within P % of it, e.g. 0.1%, or until no verdict is a close call.",
    ),
]

TimeLimit = Annotated[
    float | None,
    typer.Option(
        "--time-limit",
        metavar="SECONDS",
        help="Most that the search may take where too many options are tied together to value "
        "every package; Ctrl-C ends it too. What it has found by then is the answer, with its gap.",
    ),
]

PlanId = Annotated[
    str | None,
    typer.Option("--plan", metavar="ID", help="Way of paying counted on, instead of `use`."),
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
def advise(
    case: shell.CasePath,
    json: shell.JsonPath = None,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    budget: shell.Budget = None,
    break_even: BreakEven = False,  # noqa: FBT002 - the signature is typer's
    plan: PlanId = None,
    proof: Proof = True,  # noqa: FBT002 - the signature is typer's
    precision: Aimed = None,
    time_limit: TimeLimit = None,
) -> None:
    """Say which options to order now, retrofit or leave off, and why."""
    from optioneer.cli.cash import counted_on, on_paying
    from optioneer.reports.pages import advice_page
    from optioneer.study.advise import advice
    from optioneer.study.draws import with_draws
    from optioneer.study.precision import precise_advice

    shell.must_be_writable(json)
    read = counted_on(with_draws(shell.read(case), futures, seed), plan)
    ask = (
        partial(advice, seconds=time_limit)
        if precision is None
        else partial(precise_advice, aim=_aim(precision))
    )
    with progress_bar("Weighing the packages") as progress:
        answer = ask(read, budget=budget, break_even=break_even, prove=proof, progress=progress)
    figures = shell.figures(read.machine.currency)
    extra = on_paying(read, answer, figures, compare=plan is not None)
    shell.hand_over(answer, json, lambda: (*advice_page(read, answer, figures), *extra))


def _aim(text: str) -> "Aim":
    """What `--precision` asks for."""
    from optioneer.study.precision import Aim

    if text.strip() == CALLS:
        return Aim()
    try:
        share = float(text.strip().removesuffix("%")) / 100.0
    except ValueError:
        share = math.nan
    if not text.strip().endswith("%") or not 0.0 < share < 1.0:
        raise RequestError(
            f"--precision {text!r} is neither '{CALLS}' nor a percentage above 0 and below 100. "
            "Write e.g. 0.1%."
        )
    return Aim(share)


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
