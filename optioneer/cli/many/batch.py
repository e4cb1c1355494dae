"""`optioneer batch`: many cases, each with many sets of changes, a row for each."""

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from optioneer.cli import shell
from optioneer.cli.many import workers
from optioneer.cli.progress import progress_bar
from optioneer.errors import OptioneerError, RequestError

if TYPE_CHECKING:
    from optioneer.files.batch import GrowingRows
    from optioneer.model.case import Case
    from optioneer.study.many.batch import BatchErrand, BatchRow, Cells
    from optioneer.study.problem.executor import Pool

    Facts = tuple[str, Case | None, str]

Processes = Annotated[
    int | None,
    typer.Option("--workers", metavar="N", min=1, help="Processes; default: one for each core."),
]


@shell.app.command("batch")
def batch(
    cases: Annotated[list[Path], typer.Argument(metavar="CASE...", help="Folders of cases.")],
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Where to write rows: .csv or .parquet.")
    ],
    changes: Annotated[
        Path | None,
        typer.Option(
            "--changes",
            metavar="FILE",
            help="Table of changes, .csv: headings as in `whatif`, e.g. 'chance night-lots' or "
            "'horizon'; a row a set of changes; VALUE or xFACTOR; empty cells change nothing.",
        ),
    ] = None,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    processes: Processes = None,
    on: Annotated[
        str | None,
        typer.Option("--on", metavar="ADDRESS", help="Scheduler of a cluster (dask.distributed)."),
    ] = None,
) -> None:
    """Weigh many cases, each with many sets of changes; the same command again goes on."""
    from optioneer.files.batch import KINDS, GrowingRows, changes_table

    shell.must_be_writable(out, "--out")
    if out.suffix.lower() not in KINDS:
        raise RequestError(f"--out: {out.name} is neither .csv nor .parquet.")
    table = ((),) if changes is None else changes_table(changes)
    facts = [_facts(case) for case in cases]
    errands = _errands(facts, table, futures, seed)
    growing = GrowingRows(out)
    rows = _rows(
        errands,
        growing,
        partial(workers.cluster, on) if on else partial(workers.processes, processes),
    )
    with shell.last_act():
        growing.finish(rows)
        wrong = sum(bool(row.error) for row in rows)
        typer.echo(f"{len(rows):,} rows are in {out}, {wrong:,} of them with an error.")


def _facts(folder: Path) -> "Facts":
    """Name of a case, its facts, and what is wrong with it."""
    try:
        return folder.name, shell.case_in(folder), ""
    except OptioneerError as error:
        return folder.name, None, " ".join(str(error).split())


def _errands(
    facts: "list[Facts]", table: "tuple[Cells, ...]", futures: int | None, seed: int | None
) -> "list[BatchErrand]":
    from optioneer.study.many.batch import BatchErrand

    asked = ((fact, cells) for fact in facts for cells in table)
    return [
        BatchErrand(number, name, case, wrong, cells, futures, seed)
        for number, ((name, case, wrong), cells) in enumerate(asked, 1)
    ]


def _rows(errands: "list[BatchErrand]", growing: "GrowingRows", pool: "Pool") -> "list[BatchRow]":
    """The row of each errand; those that are there already are not worked out again."""
    from optioneer.study.many.batch import batch_row, failed
    from optioneer.study.problem.executor import streamed

    there = growing.there()
    names = {errand.number: errand.name for errand in errands}
    left = [errand for errand in errands if names[errand.number] not in there]
    with progress_bar(f"Weighing {len(errands):,} times") as progress:
        for done, (errand, found) in enumerate(streamed(batch_row, left, pool), 1):
            row = failed(errand, found) if isinstance(found, Exception) else found
            growing.add(names[errand.number], row)
            there[names[errand.number]] = row
            progress((len(errands) - len(left) + done) / len(errands))
    return [
        there[names[errand.number]].model_copy(update={"row": errand.number}) for errand in errands
    ]
