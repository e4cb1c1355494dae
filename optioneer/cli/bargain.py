"""`optioneer bargain`: how far to go with the dealer."""

from pathlib import Path
from typing import Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar


@shell.app.command("bargain")
def bargain(
    case: shell.CasePath,
    against: Annotated[
        list[Path] | None,
        typer.Option("--against", metavar="CASE", help="Another dealer's quote; may be repeated."),
    ] = None,
    rate: Annotated[
        list[str] | None,
        typer.Option(
            "--rate", metavar="CODE=RATE", help="What one unit of another currency is worth here."
        ),
    ] = None,
    rate_date: Annotated[
        str | None, typer.Option("--rate-date", metavar="DAY", help="The day of the rates.")
    ] = None,
    written_years: Annotated[
        float,
        typer.Option(
            "--written-years", metavar="YEARS", help="How long a later price is held in writing."
        ),
    ] = 3.0,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    json: shell.JsonPath = None,
) -> None:
    """Say what every option is worth with the order, and what else to ask the dealer for."""
    from optioneer.reports.asking.bargain import bargain_page
    from optioneer.study.bargain.bargain import BargainRequest, negotiation
    from optioneer.study.compare.currencies import asked_exchange

    shell.must_be_writable(json)
    request = BargainRequest(
        shell.read(case),
        futures=futures,
        seed=seed,
        against=tuple(shell.read(other) for other in against or ()),
        exchange=asked_exchange(rate or (), day=rate_date),
        written_years=written_years,
    )
    with progress_bar("Asking what each thing is worth") as progress:
        answer = negotiation(request, progress=progress)
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: bargain_page(request.counted, answer, figures))
