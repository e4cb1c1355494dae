"""`optioneer start`: a whole case from a dealer's list, with few questions."""

from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.record.decide import day
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.cli.start.talk import Talk
    from optioneer.model.case import Case
    from optioneer.study.start.list_lines import Listing
    from optioneer.study.start.new_case import Wishes

LISTS = (".csv", ".tsv", ".txt", ".xlsx")
"""How the name of a list ends."""

QuoteDay = Annotated[
    date | None, typer.Option("--quoted", metavar="DATE", parser=day, help="Day of the quote.")
]


@shell.app.command("start")
def start(
    file: Annotated[
        Path | None,
        typer.Argument(metavar="LIST", help="Dealer's list, .csv or .xlsx; without: typed."),
    ] = None,
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="DIR", help="New folder for the case; default: the list's name."),
    ] = None,
    machine: Annotated[
        str | None, typer.Option(metavar="KIND", help="Kind of machine: mill, lathe or mill-turn.")
    ] = None,
    currency: Annotated[
        str | None, typer.Option(metavar="CODE", help="ISO code, e.g. EUR.")
    ] = None,
    quoted: QuoteDay = None,
    column: Annotated[
        str | None, typer.Option("--price-column", metavar="NAME", help="Heading of the prices.")
    ] = None,
    yes: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--yes", help="Ask nothing: what is open is marked as to be asked.")
    ] = False,
) -> None:
    """Make a case from a dealer's list: options, their kinds, the work that they are for."""
    from optioneer.cli.start.talk import Talk
    from optioneer.files.case.write import write_new_case
    from optioneer.reports.papers.start_page import start_page
    from optioneer.study.start.new_case import new_case

    talk = Talk(quiet=yes)
    source, target = _places(file, folder)
    must_be_known(machine)
    if target.exists() and (not target.is_dir() or any(target.iterdir())):
        raise RequestError(f"{target}: is not empty; name a new folder.")
    found = _listing(source, machine, talk, column=column)
    found, wishes = _settled_list(found, talk, machine=machine, currency=currency, quoted=quoted)
    case = new_case(target.resolve().name, found, wishes)
    case, wishes = _chosen(case, found, wishes, talk)
    with shell.last_act():
        write_new_case(case, target)
        figures = shell.figures(case.machine.currency)
        done = f"The case is in {target}. Next: optioneer advise {target}"
        shell.show(start_page(case, found, figures, done=done))


def must_be_known(machine: str | None) -> None:
    """Refuse a kind of machine that there is not."""
    from optioneer.errors import did_you_mean
    from optioneer.model.kinds.usual import usual_kinds

    known = usual_kinds().machines
    if machine is not None and machine not in known:
        raise RequestError(
            f"--machine: there is no kind '{machine}'. {did_you_mean(machine, list(known))}"
        )


def _places(file: Path | None, folder: Path | None) -> tuple[Path | None, Path]:
    """The list, none where it is typed, and the folder of the case."""
    if file is not None and folder is None and not file.is_file():
        if file.suffix.lower() in LISTS:
            raise RequestError(f"{file}: there is no such list.")
        return None, file
    if file is None:
        raise RequestError("start: name the dealer's list, or a new folder to type prices for.")
    return file, folder or Path(file.stem)


def _listing(
    source: Path | None, machine: str | None, talk: "Talk", *, column: str | None
) -> "Listing":
    """The list as it is read, its column of prices asked for where that is in doubt."""
    from optioneer.files.plain.source import file_bytes
    from optioneer.files.quote.first_list import listing, price_columns
    from optioneer.files.quote.mapping import QuoteMapping

    if source is None:
        data, name = talk.typed(machine), "what was typed"
    else:
        data, name = file_bytes(source), source.name
    told = QuoteMapping(columns={"price": column} if column else {})
    rivals = price_columns(data, name, told)
    if rivals and not talk.quiet:
        told = QuoteMapping(columns={"price": talk.one_of("Which column holds the price", rivals)})
    return listing(data, name, told)


def _settled_list(
    found: "Listing",
    talk: "Talk",
    *,
    machine: str | None,
    currency: str | None,
    quoted: date | None,
) -> tuple["Listing", "Wishes"]:
    """The list with nothing open any more, and what is said of the purchase."""
    from optioneer.model.kinds.usual import usual_kinds
    from optioneer.study.start.new_case import Wishes

    kind = machine or found.machine
    if not kind:
        kinds = tuple(usual_kinds().machines)
        kind = talk.one_of("What kind of machine is it", kinds, needed="--machine KIND")
    code = currency or found.currency
    if not code:
        code = talk.text("Currency of the prices, e.g. EUR", needed="--currency CODE").upper()
    today = datetime.now(UTC).astimezone().date()
    asked = quoted or talk.day("Day of the quote", today)
    settled = talk.settled(found, kind)
    return settled, Wishes(machine=kind, currency=code, quoted=asked)


def _chosen(
    case: "Case", found: "Listing", wishes: "Wishes", talk: "Talk"
) -> tuple["Case", "Wishes"]:
    """The case after the owner has said what he wants in any case, and never does."""
    from dataclasses import replace

    from optioneer.study.start.new_case import EVERYDAY, new_case

    if talk.quiet:
        return case, wishes
    offered = [line for line in found.of("option") if not line.included]
    streams = [stream for stream in case.growth.stream if stream.id != EVERYDAY]
    usual = case.machine.margin_per_day
    wishes = replace(
        wishes,
        order=talk.day("When do you expect to sign", case.dates.order),
        margin_per_day=talk.amount("What does a working day of this machine leave", usual),
        must=talk.some_of(
            "Which of them do you want whatever they cost",
            [line.row for line in offered],
            [line.text for line in offered],
        ),
        never=talk.some_of(
            "Which of this work would you never do",
            [stream.id for stream in streams],
            [stream.name for stream in streams],
        ),
    )
    return new_case(case.name, found, wishes), wishes
