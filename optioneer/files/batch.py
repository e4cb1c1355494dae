"""Tables of changes and of rows: read, kept while they grow, and written at the end."""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from pathlib import Path

from optioneer.errors import RequestError
from optioneer.files.saving.commit import write_files_atomically
from optioneer.study.many.batch import BatchRow, Cells, must_name_figures

KINDS = (".csv", ".parquet")
"""Kinds of files that rows are written to."""

PART = ".part"
"""What is added to the name of a file whose rows are not all there yet."""


def changes_table(file: Path) -> tuple[Cells, ...]:
    """The sets of changes in a table, a row each; a cell that is empty changes nothing.

    Raises
    ------
    RequestError
        If there is no such file, it is no table, or a heading names no figure.
    """
    try:
        text = file.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise RequestError(f"--changes: {file} cannot be read as UTF-8 text: {error}.") from error
    rows = list(csv.reader(io.StringIO(text, newline="")))
    if not rows or not any(rows[0]):
        raise RequestError(f"--changes: {file} has no headings. Write e.g. 'chance night-lots'.")
    must_name_figures(rows[0])
    found = []
    for number, row in enumerate(rows[1:], 2):
        if len(row) > len(rows[0]):
            raise RequestError(
                f"--changes: {file}, row {number}: {len(row)} cells under {len(rows[0])} headings."
            )
        cells = zip(rows[0], row, strict=False)
        found.append(tuple((h.strip(), cell.strip()) for h, cell in cells if cell.strip()))
    return tuple(found)


class GrowingRows:
    """Rows that are there already, beside the file that they will be written to.

    Each row is a line that is forced to the file before the next; a line that was cut off by a kill
    does not count.
    """

    def __init__(self, out: Path) -> None:
        self.out, self.part = out, out.with_name(out.name + PART)

    def there(self) -> dict[str, BatchRow]:
        """Rows by the name of what they hang on."""
        return dict(self._rows_kept())

    def _rows_kept(self) -> Iterator[tuple[str, BatchRow]]:
        if not self.part.exists():
            return
        for line in self.part.read_text(encoding="utf-8").split("\n"):
            try:
                told = json.loads(line)
                yield told["name"], BatchRow.model_validate(told["row"])
            except ValueError:  # cut off
                continue

    def add(self, name: str, row: BatchRow) -> None:
        """Put a row there."""
        line = json.dumps({"name": name, "row": row.model_dump()}, ensure_ascii=True)
        with self.part.open("a", encoding="utf-8", newline="\n") as file:
            # A line that was cut off ends here.
            file.write(f"\n{line}\n")

    def finish(self, rows: Sequence[BatchRow]) -> None:
        """Write all rows in one step; what was kept meanwhile goes."""
        as_parquet = self.out.suffix.lower() == ".parquet"
        data = _parquet(rows) if as_parquet else _csv(rows)
        write_files_atomically(self.out.parent, {self.out.name: data})
        self.part.unlink(missing_ok=True)


def _csv(rows: Sequence[BatchRow]) -> bytes:
    text = io.StringIO(newline="")
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(BatchRow.model_fields)
    for row in rows:
        writer.writerow("" if cell is None else cell for cell in row.model_dump().values())
    return text.getvalue().encode("utf-8")


def _parquet(rows: Sequence[BatchRow]) -> bytes:
    try:
        import pandas as pd  # noqa: PLC0415 - heavy, and of an extra
    except ImportError as error:
        raise RequestError("--out: Parquet needs pandas: pip install 'optioneer[app]'.") from error
    data = io.BytesIO()
    pd.DataFrame([row.model_dump() for row in rows]).to_parquet(data, index=False)
    return data.getvalue()
