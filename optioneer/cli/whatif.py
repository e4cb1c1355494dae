"""`optioneer whatif` and `optioneer turning`: figures that are not what the case says."""

from typing import Annotated, Any

import typer

from optioneer.cli import shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar

Changes = list[str] | None
Word = str | None
Flag = bool | None
End = float | None


def _changes(what: str, form: str, does: str) -> Any:
    """An option that may be given several times."""
    return typer.Option(f"--{what}", metavar=form, help=does)


@shell.app.command("whatif")
def whatif(
    case: shell.CasePath,
    nudge: Annotated[Changes, _changes("nudge", "DRIVER=SD", "Set a driver's nudge.")] = None,
    chance: Annotated[Changes, _changes("chance", "STREAM=P", "Set a stream's chance.")] = None,
    margin: Annotated[
        Changes, _changes("margin", "STREAM=M", "Set a likeliest yearly margin.")
    ] = None,
    years: Annotated[
        Changes, _changes("years", "STREAM=YEARS", "Set the likeliest years until it comes.")
    ] = None,
    lasts_years: Annotated[
        Changes, _changes("lasts-years", "STREAM=YEARS", "Set how long it lasts.")
    ] = None,
    fallback: Annotated[
        Changes, _changes("fallback", "STREAM=P", "Set the share kept without a way.")
    ] = None,
    growth: Annotated[
        Changes, _changes("growth", "STREAM=R", "Set the yearly growth of a margin.")
    ] = None,
    swing: Annotated[Changes, _changes("swing", "STREAM=S", "Set a stream's swing.")] = None,
    hours: Annotated[
        Changes, _changes("hours", "STREAM=H", "Set the most hours a year that it takes.")
    ] = None,
    multiplier: Annotated[
        Changes, _changes("multiplier", "OPTION=K", "Set a likeliest retrofit multiplier.")
    ] = None,
    price: Annotated[
        Changes, _changes("price", "OPTION=P", "Set a price with the order; later ones stay.")
    ] = None,
    later_price: Annotated[
        Changes, _changes("later-price", "OPTION=P", "Set what an option lists for later.")
    ] = None,
    downtime_days: Annotated[
        Changes, _changes("downtime-days", "OPTION=DAYS", "Set the standstill of a retrofit.")
    ] = None,
    attended: Annotated[Changes, _changes("attended", "HOURS", "Set the hours attended.")] = None,
    beyond: Annotated[
        Changes, _changes("beyond", "COST", "Set what an hour beyond those costs.")
    ] = None,
    kept_years: Annotated[
        Changes, _changes("kept-years", "YEARS", "Set how long the machine is kept.")
    ] = None,
    horizon: Annotated[Changes, _changes("horizon", "YEARS", "Set the years looked ahead.")] = None,
    discount_rate: Annotated[
        Changes, _changes("discount-rate", "R", "Set the discount rate, e.g. 0.07.")
    ] = None,
    budget: shell.Budget = None,
    time_limit: shell.TimeLimit = None,
    json: shell.JsonPath = None,
) -> None:
    """Say which verdicts turn when figures change; xFACTOR multiplies a figure, e.g. night=x1.2."""
    from optioneer.reports.advice.whatif import what_if_page
    from optioneer.study.whatif.whatif import WhatIfRequest, shifts, what_if
    from optioneer.study.worth.changes import asked_change
    from optioneer.study.worth.figures import FIGURES

    shell.must_be_writable(json)
    work = (nudge, chance, margin, years, lasts_years, fallback, growth, swing, hours)
    options = (multiplier, price, later_price, downtime_days)
    whole = (attended, beyond, kept_years, horizon, discount_rate)
    given = zip(FIGURES, (*work, *options, *whole), strict=True)
    asked = [asked_change(what, text) for what, each in given for text in each or ()]
    read = shell.case_in(case)
    request = WhatIfRequest(read, changes=tuple(asked), budget=budget, seconds=time_limit)
    with progress_bar("Weighing the packages twice") as progress:
        answer = (shifts if json is None else what_if)(request, progress=progress)
    shell.hand_over(
        answer, json, lambda: what_if_page(read, answer, shell.figures(answer.currency))
    )


@shell.app.command("turning")
def turning(
    case: shell.CasePath,
    driver: Annotated[Word, typer.Option(help="Driver whose nudge changes.")] = None,
    chance: Annotated[Word, typer.Option(help="Stream whose chance changes.")] = None,
    margin: Annotated[Word, typer.Option(help="Stream whose margin changes.")] = None,
    years: Annotated[Word, typer.Option(help="Stream that comes earlier or later.")] = None,
    lasts_years: Annotated[Word, typer.Option(help="Stream that lasts shorter or longer.")] = None,
    fallback: Annotated[Word, typer.Option(help="Stream whose fallback changes.")] = None,
    growth: Annotated[Word, typer.Option(help="Stream whose growth changes.")] = None,
    swing: Annotated[Word, typer.Option(help="Stream whose swing changes.")] = None,
    hours: Annotated[Word, typer.Option(help="Stream whose hours change.")] = None,
    multiplier: Annotated[Word, typer.Option(help="Option whose multiplier changes.")] = None,
    price: Annotated[Word, typer.Option(help="Option whose price with the order changes.")] = None,
    later_price: Annotated[Word, typer.Option(help="Option whose price later changes.")] = None,
    downtime_days: Annotated[Word, typer.Option(help="Option whose standstill changes.")] = None,
    attended: Annotated[Flag, typer.Option("--attended", help="Hours attended change.")] = None,
    beyond: Annotated[Flag, typer.Option("--beyond", help="Cost of hours beyond changes.")] = None,
    kept_years: Annotated[Flag, typer.Option("--kept-years", help="The stay changes.")] = None,
    horizon: Annotated[Flag, typer.Option("--horizon", help="The horizon changes.")] = None,
    discount_rate: Annotated[Flag, typer.Option("--discount-rate", help="It changes.")] = None,
    low: Annotated[End, typer.Option("--from", metavar="VALUE", help="First value.")] = None,
    high: Annotated[End, typer.Option("--to", metavar="VALUE", help="Last value.")] = None,
    steps: Annotated[int, typer.Option(help="How many values are looked at.")] = 9,
    budget: shell.Budget = None,
    time_limit: shell.TimeLimit = None,
    count: workers.Count = None,
    on: workers.Address = None,
    json: shell.JsonPath = None,
) -> None:
    """Say where along a range of one figure each verdict turns."""
    from optioneer.reports.advice.whatif import turning_page
    from optioneer.study.whatif.whatif import TurningRequest, range_of, values_between
    from optioneer.study.whatif.whatif import turning as turns_along
    from optioneer.study.worth.changes import one_figure
    from optioneer.study.worth.figures import FIGURES

    shell.must_be_writable(json)
    work = (driver, chance, margin, years, lasts_years, fallback, growth, swing, hours)
    options = (multiplier, price, later_price, downtime_days)
    flags = (attended, beyond, kept_years, horizon, discount_rate)
    cases = ("" if asked else None for asked in flags)
    figure = one_figure(dict(zip(FIGURES, (*work, *options, *cases), strict=True)))
    read = shell.case_in(case)
    values = values_between(*range_of(read, figure, (low, high)), steps)
    request = TurningRequest(read, figure=figure, values=values, budget=budget, seconds=time_limit)
    with progress_bar("Weighing the packages at each value") as progress:
        answer = turns_along(request, progress=progress, pool=workers.pool_of(count, on))
    shell.hand_over(
        answer, json, lambda: turning_page(read, answer, shell.figures(answer.currency))
    )
