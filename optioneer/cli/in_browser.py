"""`optioneer app`: the same answers in a browser on this machine."""

from importlib.util import find_spec
from pathlib import Path
from typing import Annotated

import typer

from optioneer.cli import shell
from optioneer.errors import RequestError

NEEDED = ("streamlit", "altair")


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
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise RequestError(f"The app needs {' and '.join(missing)}: pip install 'optioneer[app]'.")
    if case is not None and not case.is_dir():
        raise RequestError(f"{case}: there is no such folder.")
    from optioneer.app.launch import serve

    serve(case, address=address, port=port, browser=browser)
