"""`optioneer sensitivity`: which figures move the advice, and by how much."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from optioneer.cli import pictures, shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.study.whatif.answers import AllTogether, OneAtATime


def _amount(what: str, unit: str, does: str) -> Any:
    return typer.Option(f"--{what}", metavar=unit, help=does)


@shell.app.command("sensitivity")
def sensitivity(
    case: shell.CasePath,
    together: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option(
            "--global/--one-at-a-time",
            help="Vary all figures together, or each alone from end to end (the default).",
        ),
    ] = False,
    only: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME", help="Vary only this driver, stream, option or kind."),
    ] = None,
    nudge: Annotated[float, _amount("nudge", "SD", "Drivers, up and down; 0: not.")] = 1.0,
    chance: Annotated[float, _amount("chance", "P", "Chances, up and down; 0: not.")] = 0.1,
    spread: Annotated[
        float, _amount("spread", "PART", "Margins, multipliers, later prices, as a part of them.")
    ] = 0.2,
    wait: Annotated[
        float, _amount("wait", "YEARS", "Arrivals and lives of work, up and down; 0: not.")
    ] = 1.0,
    fallback: Annotated[
        float, _amount("fallback", "P", "Shares kept without a way, up and down; 0: not.")
    ] = 0.2,
    rough: Annotated[
        float, _amount("rough", "PART", "Standstills and swings, as a part of them.")
    ] = 0.5,
    rate: Annotated[
        float, _amount("rate", "R", "Discount rate, growth, up and down; 0: not.")
    ] = 0.02,
    years: Annotated[
        float, _amount("years", "YEARS", "Stay, and horizon (alone only); 0: not.")
    ] = 2.0,
    points: Annotated[int, _amount("points", "N", "Points with --global, a power of 2.")] = 1024,
    seconds: Annotated[
        float | None, _amount("seconds", "S", "Time after which --global looks less deep.")
    ] = None,
    futures: Annotated[
        int | None,
        _amount("futures", "N", "For close calls; default: 1024; of all with --global: 512."),
    ] = None,
    count: workers.Count = None,
    on: workers.Address = None,
    json: shell.JsonPath = None,
    chart: Annotated[Path | None, pictures.option("Draw it")] = None,
) -> None:
    """Say which figures move the advice most, and which verdicts they turn."""
    from optioneer.reports.advice.sensitivity import all_together_page, one_at_a_time_page
    from optioneer.study.unknowns.ranges import Spreads, ranged_figures
    from optioneer.study.whatif.all_at_once import all_together
    from optioneer.study.whatif.one_at_a_time import FUTURES as ALONE
    from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
    from optioneer.study.whatif.trials import FUTURES, TogetherRequest, Trials

    shell.must_be_writable(json)
    pictures.must_be_picture(chart)
    read = shell.case_in(case)
    told = {"nudge": nudge, "chance": chance, "part": spread, "rate": rate, "years": years}
    spreads = Spreads(**told, wait=wait, fallback=fallback, rough=rough)
    varied = ranged_figures(read, spreads, only or ())
    figures, pool = shell.figures(read.machine.currency), workers.pool_of(count, on)
    if together:
        trials = Trials(futures=futures or FUTURES, points=points, seconds=seconds)
        with progress_bar("Varying all figures together") as progress:
            split = all_together(
                TogetherRequest(read, ranges=varied, trials=trials), progress=progress, pool=pool
            )
        _draw_shares(read, split, chart)
        shell.hand_over(split, json, partial(all_together_page, read, split, figures))
        return
    with progress_bar("Varying one figure at a time") as progress:
        request = RangesRequest(read, ranges=varied, sample=futures or ALONE)
        answer = one_at_a_time(request, progress=progress, pool=pool)
    _draw_ranges(read, answer, chart)
    shell.hand_over(answer, json, partial(one_at_a_time_page, read, answer, figures))


def _draw_ranges(case: "Case", answer: "OneAtATime", file: Path | None) -> None:
    from optioneer.reports.rows import range_rows

    rows = range_rows(case, answer, shell.figures(answer.currency))
    pictures.draw(
        file, lambda charts: charts.ranges_chart(rows, answer.npc, currency=answer.currency)
    )


def _draw_shares(case: "Case", answer: "AllTogether", file: Path | None) -> None:
    from optioneer.reports.rows import share_rows

    pictures.draw(file, lambda charts: charts.shares_chart(share_rows(case, answer)))
