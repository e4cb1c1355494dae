"""`optioneer compare`: packages of a quote, or quotes of several dealers, side by side."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from optioneer.cli import pictures, shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar, weighing

if TYPE_CHECKING:
    from collections.abc import Sequence
    from types import ModuleType

    from optioneer.model.case import Case
    from optioneer.study.compare.answers import Comparison


@shell.app.command("compare")
def compare(
    cases: Annotated[
        list[Path], typer.Argument(metavar="CASE...", help="Folders of the cases, one a quote.")
    ],
    package: Annotated[
        list[str] | None,
        typer.Option(
            "--package",
            metavar="[CASE:]ID|a,b,c",
            help="A package of the case, base, or options; of the first case unless another is "
            "named; may be repeated. Default: the packages of each case and base.",
        ),
    ] = None,
    growth: Annotated[
        str | None,
        typer.Option("--growth", metavar="CASE", help="Whose growth counts; default: the first's."),
    ] = None,
    rate: Annotated[
        list[str] | None,
        typer.Option(
            "--rate",
            metavar="CODE=RATE",
            help="What one unit of a currency is worth in the common one, e.g. EUR=1.08.",
        ),
    ] = None,
    rate_date: Annotated[
        str | None, typer.Option("--rate-date", metavar="DAY", help="The day of the rates.")
    ] = None,
    currency: Annotated[
        str | None,
        typer.Option("--currency", metavar="CODE", help="The common one; default: the first's."),
    ] = None,
    time_limit: shell.TimeLimit = None,
    count: workers.Count = None,
    on: workers.Address = None,
    json: shell.JsonPath = None,
    chart: Annotated[Path | None, pictures.option("Draw outcomes")] = None,
) -> None:
    """Put packages of one quote, or quotes of several dealers, side by side."""
    from optioneer.reports.advice.compare import compare_page
    from optioneer.study.compare.compare import ComparisonRequest, comparison
    from optioneer.study.compare.currencies import asked_exchange

    shell.must_be_writable(json)
    pictures.must_be_picture(chart)
    exchange = asked_exchange(rate or (), day=rate_date, currency=currency)
    read = tuple(shell.case_in(case) for case in cases)
    request = ComparisonRequest(
        read, packages=tuple(package or ()), growth=growth, exchange=exchange, seconds=time_limit
    )
    with progress_bar(weighing(*read)) as progress:
        answer = comparison(request, progress=progress, pool=workers.pool_of(count, on))
    pictures.draw(chart, partial(_chart, read, answer))
    figures = shell.figures(answer.currency)
    shell.hand_over(answer, json, lambda: compare_page(read, answer, figures))


def _chart(cases: "Sequence[Case]", answer: "Comparison", charts: "ModuleType") -> Any:
    from optioneer.charts.spread import npc_chart
    from optioneer.reports.advice.compare import count_rows, spread_marks

    del charts  # found to be installed
    return npc_chart(
        count_rows(cases, answer),
        spread_marks(cases, answer),
        currency=answer.currency,
        title="Outcome over the futures",
    )
