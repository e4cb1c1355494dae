"""`optioneer workbook` and `optioneer take-in`: a case out to a spreadsheet and back."""

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.progress import progress_bar, weighing
from optioneer.cli.record.decide import day
from optioneer.errors import RequestError


@shell.app.command("workbook")
def workbook(
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Workbook to write, .xlsx.")],
    case: Annotated[
        Path | None, typer.Argument(metavar="CASE", help="Folder of the case.", show_default=False)
    ] = None,
    new: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--new", help="Blank sheets for a new case, instead of CASE.")
    ] = False,
    results: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--results", help="The answers instead: figures, formulas and charts.")
    ] = False,
) -> None:
    """Write a case as a workbook to fill in, blank sheets for a new one, or the results."""
    from optioneer.reports.sheets.entry import entry_workbook

    _must_be_workbook(out)
    if new == (case is not None) or (new and results):
        raise RequestError("workbook: name a CASE, or ask for blank sheets with --new.")
    if case is not None and results:
        told = f"{out}: the results; change the inputs in the case, not there."
        shell.write_file(out, _results(case), told)
        return
    read = None
    if case is not None:
        from optioneer.files.case.read import read_case

        read = read_case(case)
    told = f"{out}: fill it in, then: optioneer take-in {out} DIR"
    shell.write_file(out, entry_workbook(read), told)


def _results(folder: Path) -> bytes:
    from optioneer import __version__
    from optioneer.reports.sheets.results import Results, results_workbook
    from optioneer.study.account.cover import asked_lender
    from optioneer.study.advice.advice import advice_with_values
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.cash.cash import cash
    from optioneer.study.cash.price import quote_lines
    from optioneer.study.papers.likeliest_account import likeliest_account

    case = shell.case_in(folder)
    with progress_bar(weighing(case)) as progress:
        told = advice_with_values(AdviceRequest(case), progress=progress)
    ordered = told.package
    ways = case.paying is not None and case.paying.plan
    return results_workbook(
        Results(
            case=case,
            advice=told.advice,
            lines=quote_lines(case, ordered),
            account=likeliest_account(told.valued, ordered),
            cash=cash(case, ordered) if ways else None,
            version=__version__,
            bank=asked_lender(told.valued, ordered)[1] if ways else None,
        )
    )


def _must_be_workbook(out: Path) -> None:
    shell.must_be_writable(out, "--out")
    if out.suffix.lower() != ".xlsx":
        raise RequestError(f"--out: {out} is no workbook; end it in .xlsx.")


@shell.app.command("take-in")
def take_in(
    file: Annotated[
        Path, typer.Argument(metavar="FILE", help="Workbook that was filled in, or a dealer's list")
    ],
    folder: Annotated[
        Path | None,
        typer.Argument(metavar="DIR", help="New folder for the case.", show_default=False),
    ] = None,
    update: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--update", help="DIR holds the case already: files that change stay as .old"),
    ] = False,
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="CASE", help="Case that takes the prices of a list."),
    ] = None,
    mapping: Annotated[
        Path | None,
        typer.Option("--mapping", metavar="FILE", help="Columns and lines settled before."),
    ] = None,
    save_mapping: Annotated[
        Path | None,
        typer.Option("--save-mapping", metavar="FILE", help="Write what is proposed, to edit it."),
    ] = None,
    yes: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--yes", help="Take in the lines that are sure; guesses never.")
    ] = False,
    quoted: Annotated[
        date | None,
        typer.Option("--quoted", metavar="DATE", parser=day, help="Day of the quote, to be noted."),
    ] = None,
    json: shell.JsonPath = None,
) -> None:
    """Read a workbook that was filled in, or a dealer's list of prices, into a case."""
    if (folder is None) == (into is None):
        raise RequestError("take-in: name the folder DIR for a case, or --into CASE for a list.")
    if folder is not None:
        given = {"--mapping": mapping, "--save-mapping": save_mapping, "--json": json}
        wrong = [name for name, value in given.items() if value is not None]
        wrong += ["--quoted"] if quoted is not None else []
        if wrong or yes:
            raise RequestError(f"{(*wrong, '--yes')[0]}: belongs to --into CASE.")
        _take_in_case(file, folder, update=update)
    elif into is not None:
        if update:
            raise RequestError("--update: belongs to a folder DIR.")
        _take_in_quote(file, into, files=(mapping, save_mapping, json), yes=yes, quoted=quoted)


def _take_in_case(file: Path, folder: Path, *, update: bool) -> None:
    from optioneer.files.case.write import write_case, write_new_case
    from optioneer.files.plain.source import file_bytes
    from optioneer.files.workbook.reading import workbook_case

    found = workbook_case(file_bytes(file), name=folder.resolve().name, book=file.name)
    with shell.last_act():
        if update:
            write_case(found.case, folder, keep=True)
        else:
            write_new_case(found.case, folder)
        for notice in found.notices:
            shell.tell(f"Note: {notice}")
        typer.echo(f"The case is in {folder}. Next: optioneer check {folder}")


def _take_in_quote(
    file: Path,
    into: Path,
    *,
    files: tuple[Path | None, Path | None, Path | None],
    yes: bool,
    quoted: date | None,
) -> None:
    from optioneer.files.case.read import reading
    from optioneer.files.case.texts import fingerprint
    from optioneer.files.case.write import write_case
    from optioneer.files.plain.source import file_bytes
    from optioneer.files.quote.mapping import QuoteMapping, mapping_text, read_mapping
    from optioneer.files.quote.proposal import proposal, with_quote
    from optioneer.reports.papers.quote_page import quote_page

    mapping, save_mapping, json = files
    shell.must_be_writable(json)
    shell.must_be_writable(save_mapping, "--save-mapping")
    read = reading(into)
    case = read.case
    told = QuoteMapping()
    if mapping is not None:
        told = read_mapping(mapping, list(case.catalogue.by_id))
    found = proposal(file_bytes(file), case, name=file.name, mapping=told)
    shell.write_text(save_mapping, mapping_text(found.mapping, found.guesses))
    answer, wanted = found.answer, yes or mapping is not None
    if wanted and not answer.questions:
        write_case(
            with_quote(case, answer, quoted=quoted), into, keep=True, opened=fingerprint(read.texts)
        )
    done = _done(len(answer.changes), len(answer.questions), into, wanted=wanted)
    shell.hand_over(
        answer, json, lambda: quote_page(case, answer, shell.figures(answer.currency), done=done)
    )
    if wanted and answer.questions:
        raise RequestError(
            f"{file.name}: nothing was taken in; answer first: {answer.questions[0]}."
        )


def _done(changes: int, questions: int, into: Path, *, wanted: bool) -> str:
    prices = f"{changes} price{'' if changes == 1 else 's'}"
    if questions:
        return "Nothing is taken in before the questions below are answered."
    if wanted:
        return f"{prices} in {into} changed; what was there is kept as .old."
    return (
        f"Nothing is taken in yet. {prices} would change: take them in with --yes, or write the "
        "proposal with --save-mapping, settle it there and use --mapping."
    )
