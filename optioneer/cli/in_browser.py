"""`optioneer app`: the same answers in a browser on this machine."""

from pathlib import Path
from typing import Annotated

import typer

from optioneer.cli import shell
from optioneer.errors import RequestError


@shell.app.command("app")
def app(
    case: Annotated[
        Path | None, typer.Argument(metavar="[CASE]", help="Folder of a case to open.")
    ] = None,
    port: Annotated[
        int, typer.Option("--port", min=1024, max=65535, help="Where to listen.")
    ] = 8501,
    address: Annotated[
        str,
        typer.Option(
            "--address", help="Who can reach it: 127.0.0.1 is this machine only, 0.0.0.0 all."
        ),
    ] = "127.0.0.1",
    browser: Annotated[  # noqa: FBT002 - the signature is typer's
        bool, typer.Option("--browser/--no-browser", help="Whether to open a browser.")
    ] = True,
) -> None:
    """Open the app: the case, and pages for the buyer, the owner and the bookkeeper."""
    try:
        from optioneer.app.launch import serve
    except ImportError as error:
        raise RequestError("The app needs more: pip install 'optioneer[app]'.") from error
    if case is not None and not case.is_dir():
        raise RequestError(f"{case}: there is no such folder.")
    serve(case, address=address, port=port, browser=browser)
