"""`optioneer decide` and `history`: what was decided, and what came of it."""

from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

import optioneer
from optioneer.cli import shell
from optioneer.cli.progress import progress_bar, weighing
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.files.record.entries import RecordEntry
    from optioneer.study.record.facts import Recorded, Sealed

Made = TypeVar("Made")


def day(text: str) -> date:
    """A day as it is written on the command line."""
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise typer.BadParameter(f"{text!r} is no date. Write 2027-03-01.") from error


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

    from optioneer.files.record.entries import must_be_whole
    from optioneer.study.advice.package_choice import BASE, asked_by_name, weighed_package
    from optioneer.study.record.decide import decision

    read, inputs = shell.read_with_texts(case)
    must_be_whole(case)
    with progress_bar(weighing(read)) as progress:
        ordered = asked_by_name(read, package, shell.ids(without))
        if ordered is None:
            ordered, _ = weighed_package(read, package)
        elif package == BASE:
            ordered = ordered.model_copy(update={"id": BASE})
        now = datetime.now(tz=UTC).replace(microsecond=0)
        sealed = well_formed(
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
    facts = sealed.fingerprint[:16]
    put(case, sealed, lambda number: f"Decision {number} is sealed, on the facts {facts}.")


def put(
    case: Path, what: "RecordEntry", said: Callable[[int], str], *, corrects: int | None = None
) -> None:
    """Record and say so; Ctrl-C on the way stops neither, for then it is done."""
    from optioneer.files.record.entries import record

    with shell.last_act():
        entry = record(case, what, corrects=corrects)
        typer.echo(f"{said(entry.number)}\n{_keep(case, entry.number, entry.head)}")


def _keep(case: Path, length: int, head: str) -> str:
    entries = "1 entry" if length == 1 else f"{length} entries"
    return (
        f"The record now has {entries}; keep its head elsewhere: {head}. "
        f"Later: optioneer history {case} --expect {head}"
    )


@shell.app.command("history")
def history(
    case: shell.CasePath,
    between: Annotated[
        str | None, typer.Option("--between", metavar="A,B", help="Show what B has other than A.")
    ] = None,
    until: Annotated[
        date | None,
        typer.Option("--until", metavar="DATE", parser=day, help="Up to this day; default: today."),
    ] = None,
    expect: Annotated[
        str | None,
        typer.Option(
            "--expect",
            metavar="HEAD",
            help="A head that you kept: says whether all that it stood for is still there.",
        ),
    ] = None,
) -> None:
    """List the decisions, and compare the last one with what was paid and fitted since."""
    from datetime import UTC, datetime

    from optioneer.files.record.entries import NAME, read_record
    from optioneer.reports.papers.history import differences_page, history_page
    from optioneer.study.record.differences import differences
    from optioneer.study.record.since import since

    must_be_case(case)
    record = read_record(case)
    decisions = record.decisions
    last = decisions[max(decisions)] if decisions else None
    figures = shell.figures(last.currency if last else "USD")
    if between is not None:
        first, second = _two(record, between)
        found = differences(first[1], second[1])
        shell.show(differences_page(first, second, found, figures))
    else:
        upto = until or datetime.now(tz=UTC).date()
        told = since(last.planned, record, upto) if last else None
        shell.show(history_page(record, figures, name=case.resolve().name, told=told))
    if record.damage:
        raise RequestError(f"{case / NAME}: is damaged. {' '.join(record.damage)}")
    if expect is not None:
        typer.echo(_check_head(record, expect.strip().lower(), case / NAME))


def _check_head(record: "Recorded", head: str, file: Path) -> str:
    """That a record still holds all that a head stands for.

    Raises
    ------
    RequestError
        It does not.
    """
    from optioneer.files.record.chain import is_head

    if not is_head(head):
        raise RequestError(
            "--expect: write the head as it was told, a number, a hyphen and 20 digits."
        )
    if head not in record.heads:
        raise RequestError(
            f"{file}: does not hold what the head {head} stands for: entries were cut off or "
            f"written anew since. Its head now is {record.head}. Compare it with your backups."
        )
    more = len(record.heads) - 1 - record.heads.index(head)
    since = f"{more} more since" if more else "nothing since"
    return f"All that the head {head} stands for is there, unchanged; {since}."


def _two(record: "Recorded", between: str) -> tuple[tuple[int, "Sealed"], tuple[int, "Sealed"]]:
    known = {str(number): one for number, one in record.decisions.items()}
    names = shell.ids(between)
    if len(names) != 2 or not set(names) <= known.keys():  # noqa: PLR2004 - two are compared
        allowed = ", ".join(known) or "none is recorded"
        raise RequestError(f"--between: write two numbers of decisions, e.g. 1,2 (of: {allowed}).")
    first, second = names
    return (int(first), known[first]), (int(second), known[second])


def must_be_case(folder: Path) -> None:
    """Refuse a folder that holds no case.

    Raises
    ------
    RequestError
        It does not.
    """
    if not (folder / "machine.toml").is_file():
        raise RequestError(f"{folder} is no case: it has no machine.toml.")


def well_formed(make: Callable[[], Made]) -> Made:
    """What `make` makes; a value that is not allowed is the user's mistake."""
    from pydantic import ValidationError

    try:
        return make()
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(part) for part in first["loc"])
        raise RequestError(f"{where}: {first['msg']}.") from error
