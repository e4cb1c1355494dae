"""`optioneer decide`, `history`, `paid`, `fitted` and `arrived`: what was decided, what came."""

from collections.abc import Callable, Collection
from datetime import date
from decimal import Decimal, InvalidOperation
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

import optioneer
from optioneer.cli import shell
from optioneer.cli.progress import progress_bar
from optioneer.errors import RequestError, did_you_mean

if TYPE_CHECKING:
    from optioneer.study.record.recorded import Recorded, Sealed

Made = TypeVar("Made")


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise typer.BadParameter(f"{text!r} is no date. Write 2027-03-01.") from error


def _cents(text: str) -> int:
    try:
        cents = Decimal(text) * 100
    except InvalidOperation:
        cents = Decimal("NaN")
    if not cents.is_finite() or cents < 0 or cents != cents.to_integral_value():
        raise typer.BadParameter(
            f"{text!r} is no amount in whole cents. Write digits with a point, e.g. 50880.00."
        )
    return int(cents)


On = Annotated[
    date, typer.Option("--date", metavar="DATE", parser=_day, help="The day, e.g. 2027-03-01.")
]
Bill = Annotated[
    int, typer.Option("--amount", metavar="AMOUNT", parser=_cents, help="How much, to the cent.")
]
NoteText = Annotated[str, typer.Option("--note", metavar="TEXT", help="In your own words.")]


@shell.app.command("decide")
def decide(
    case: shell.CasePath,
    package: Annotated[
        str,
        typer.Option(
            "--package",
            metavar="ID|a,b,c",
            help="What is decided on: a package of the case, advised, base, or options.",
        ),
    ],
    without: shell.Without = "",
    note: NoteText = "",
) -> None:
    """Seal a decision: inputs, results, version and time, in the record of the case."""
    from datetime import UTC, datetime

    from optioneer.files.case.read import texts
    from optioneer.files.record import seal_decision
    from optioneer.study.advice.ordered import BASE, advised_package, named_package
    from optioneer.study.record.decide import decision

    inputs, read = texts(case), shell.read(case)
    if texts(case) != inputs:
        raise RequestError(f"{case}: the files changed while they were read; decide again.")
    with progress_bar("Weighing the packages") as progress:
        if package == "advised" and package not in {one.id for one in read.packages}:
            ordered, _ = advised_package(read)
        else:
            ordered = named_package(read, package, shell.ids(without))
            if package == BASE:
                ordered = ordered.model_copy(update={"id": BASE})
        now = datetime.now(tz=UTC).replace(microsecond=0)
        sealed = _checked(
            lambda: decision(
                read,
                ordered,
                inputs=inputs,
                note=note,
                time=now,
                version=optioneer.__version__,
                progress=progress,
            )
        )
    number = seal_decision(case, sealed)
    typer.echo(f"Decision {number} is sealed, on the facts {sealed.fingerprint[:16]}.")


@shell.app.command("history")
def history(
    case: shell.CasePath,
    between: Annotated[
        str | None,
        typer.Option("--between", metavar="A,B", help="Show what B has other than A."),
    ] = None,
    until: Annotated[
        date | None,
        typer.Option(
            "--until", metavar="DATE", parser=_day, help="Up to this day; default: today."
        ),
    ] = None,
) -> None:
    """List the decisions, and compare the last one with what was paid and fitted since."""
    from datetime import UTC, datetime

    from optioneer.files.record import read_record
    from optioneer.reports.papers.history import differences_page, history_page
    from optioneer.study.record.differences import differences
    from optioneer.study.record.since import since

    _must_be_case(case)
    record = read_record(case)
    last = record.decisions[-1] if record.decisions else None
    figures = shell.figures(last.currency if last else "USD")
    if between is not None:
        first, second = _two(record, between)
        found = differences(first[1], second[1])
        shell.show(differences_page(first, second, found, figures))
        return
    day = until or datetime.now(tz=UTC).date()
    told = since(last.planned, record, day) if last else None
    shell.show(history_page(record, figures, name=case.resolve().name, told=told))


def _two(record: "Recorded", between: str) -> tuple[tuple[int, "Sealed"], tuple[int, "Sealed"]]:
    known = {str(number): one for number, one in enumerate(record.decisions, start=1)}
    names = shell.ids(between)
    if len(names) != 2 or not set(names) <= known.keys():  # noqa: PLR2004 - two are compared
        allowed = ", ".join(known) or "none is recorded"
        raise RequestError(f"--between: write two numbers of decisions, e.g. 1,2 (of: {allowed}).")
    first, second = names
    return (int(first), known[first]), (int(second), known[second])


@shell.app.command("paid")
def paid(
    case: shell.CasePath,
    on: On,
    amount: Bill,
    kind: Annotated[
        str, typer.Option("--kind", metavar="KIND", help="contract, principal, interest, site ...")
    ] = "contract",
    what: Annotated[str, typer.Option("--what", metavar="TEXT", help="What for.")] = "",
    payee: Annotated[str, typer.Option("--payee", metavar="TEXT", help="To or from whom.")] = "",
    received: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--received", help="It came in instead of going out.")
    ] = False,
) -> None:
    """Record what was really paid, to the cent and the day."""
    from optioneer.files.record import record_fact
    from optioneer.money.ledger import KINDS
    from optioneer.study.record.recorded import PaidFact

    _must_be_case(case)
    _known(kind, KINDS, "--kind")
    told = {"date": on, "kind": kind, "what": what, "payee": payee}
    cents = amount if received else -amount
    fact = _checked(lambda: PaidFact.model_validate({**told, "cents": cents}))
    record_fact(case, fact)
    typer.echo(f"Recorded: {'received' if received else 'paid'} on {on.isoformat()}, {kind}.")


@shell.app.command("fitted")
def fitted(
    case: shell.CasePath,
    option: Annotated[str, typer.Argument(metavar="OPTION", help="Id of the option.")],
    on: On,
    amount: Bill,
    call_out: Annotated[
        int,
        typer.Option("--call-out", metavar="AMOUNT", parser=_cents, help="Of the visit, on top."),
    ] = 0,
    days: Annotated[
        float | None, typer.Option("--days", metavar="N", help="Days the machine stood still.")
    ] = None,
    note: NoteText = "",
) -> None:
    """Record a retrofit that was done: its bill, its visit, the days of standstill."""
    from optioneer.files.record import record_fact
    from optioneer.study.record.recorded import Fitted

    read = shell.read(case)
    _known(option, read.catalogue.by_id, "OPTION")
    told = {"date": on, "option": option, "cents": amount, "call_out_cents": call_out}
    more = {"downtime_days": days, "note": note}
    fact = _checked(lambda: Fitted.model_validate({**told, **more}))
    record_fact(case, fact)
    typer.echo(f"Recorded: {option} fitted on {on.isoformat()}.")


@shell.app.command("arrived")
def arrived(
    case: shell.CasePath,
    stream: Annotated[str, typer.Argument(metavar="STREAM", help="Id of the work stream.")],
    on: On,
    margin: Annotated[
        int | None,
        typer.Option("--margin", metavar="AMOUNT", parser=_cents, help="A year, as it now looks."),
    ] = None,
    note: NoteText = "",
) -> None:
    """Record that a kind of work has come."""
    from optioneer.files.record import record_fact
    from optioneer.study.record.recorded import Arrived

    read = shell.read(case)
    _known(stream, [one.id for one in read.growth.stream], "STREAM")
    earned = None if margin is None else margin / 100
    told = {"date": on, "stream": stream, "margin": earned, "note": note}
    fact = _checked(lambda: Arrived.model_validate(told))
    record_fact(case, fact)
    typer.echo(f"Recorded: {stream} came on {on.isoformat()}.")


def _must_be_case(folder: Path) -> None:
    if not (folder / "machine.toml").is_file():
        raise RequestError(f"{folder} is no case: it has no machine.toml.")


def _known(word: str, known: Collection[str], where: str) -> None:
    if word not in known:
        raise RequestError(f"{where}: there is no '{word}'. {did_you_mean(word, known)}")


def _checked(make: Callable[[], Made]) -> Made:
    """What `make` makes; a value that is not allowed is the user's mistake."""
    from pydantic import ValidationError

    try:
        return make()
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise RequestError(f"{where}: {first['msg']}.") from error
