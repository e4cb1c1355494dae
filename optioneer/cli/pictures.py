"""Charts as files: what a picture may be called, and where it goes."""

from collections.abc import Callable
from pathlib import Path
from types import ModuleType
from typing import Any

import typer

from optioneer.cli import shell
from optioneer.errors import RequestError


def option(draws: str) -> Any:
    """The option for a file that a chart is drawn into."""
    return typer.Option("--chart", metavar="FILE", help=f"{draws}: .svg, .png, .pdf or .json.")


def must_be_picture(file: Path | None) -> None:
    """Refuse a place or an ending that cannot be drawn before the work is done."""
    shell.must_be_writable(file, "--chart")
    if file is not None and _kind(file) not in shell.PICTURES:
        ends = ", .".join(shell.PICTURES)
        raise RequestError(f"--chart: {file} is no picture; end it in .{ends}.")
    if file is not None:
        _charts()


def draw(file: Path | None, chart: Callable[[ModuleType], Any]) -> None:
    """Write the chart that `chart` makes with the module of charts, if one is asked for."""
    must_be_picture(file)
    if file is None:
        return
    from optioneer.files.saving.commit import write_files_atomically

    charts = _charts()
    picture = charts.image(chart(charts), _kind(file))
    write_files_atomically(file.parent, {file.name: picture})


def _charts() -> ModuleType:
    try:
        from optioneer import charts
    except ImportError as error:
        raise RequestError("--chart needs the charts: pip install 'optioneer[charts]'.") from error
    return charts


def _kind(file: Path) -> str:
    return file.suffix.lower().removeprefix(".")
