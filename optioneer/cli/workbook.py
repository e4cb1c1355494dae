"""`optioneer workbook` and `optioneer take-in`: a case out to a spreadsheet and back."""

from pathlib import Path
from typing import Annotated

import typer

from optioneer.cli import shell
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
) -> None:
    """Write a case as a workbook to fill in, or blank sheets for a new one."""
    from optioneer.reports.entry_workbook import entry_workbook

    _must_be_workbook(out)
    if new == (case is not None):
        raise RequestError("workbook: name a CASE, or ask for blank sheets with --new.")
    read = None
    if case is not None:
        from optioneer.files.read import read_case

        read = read_case(case)
    _write(out, entry_workbook(read))
    typer.echo(f"{out}: fill it in, then: optioneer take-in {out} DIR")


def _must_be_workbook(out: Path) -> None:
    shell.must_be_writable(out, "--out")
    if out.suffix.lower() != ".xlsx":
        raise RequestError(f"--out: {out} is no workbook; end it in .xlsx.")


def _write(out: Path, data: bytes) -> None:
    from optioneer.files.atomic import write_files_atomically

    write_files_atomically(out.parent, {out.name: data})


@shell.app.command("take-in")
def take_in(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Workbook that was filled in.")],
    folder: Annotated[
        Path | None, typer.Argument(metavar="DIR", help="New folder for the case.")
    ] = None,
    update: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--update", help="DIR holds the case already: files that change stay as .old"),
    ] = False,
) -> None:
    """Read a workbook that was filled in into a case folder."""
    if folder is None:
        raise RequestError("take-in: name the folder DIR for the case.")
    _take_in_case(file, folder, update=update)


def _take_in_case(file: Path, folder: Path, *, update: bool) -> None:
    from optioneer.files.source import file_bytes
    from optioneer.files.workbook_in import workbook_case
    from optioneer.files.write import write_case, write_new_case

    found = workbook_case(file_bytes(file), name=folder.resolve().name, book=file.name)
    if update:
        write_case(found.case, folder, keep=True)
    else:
        write_new_case(found.case, folder)
    for notice in found.notices:
        shell.tell(f"Note: {notice}")
    typer.echo(f"The case is in {folder}. Next: optioneer check {folder}")
