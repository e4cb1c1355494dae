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
        str, typer.Option("--address", help="Where to listen; 127.0.0.1 is this machine only.")
    ] = "127.0.0.1",
    open_to_network: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option(
            "--open-to-network",
            help="Let other machines in: whoever reaches the address sees and changes the cases "
            "that are opened in it, without a password.",
        ),
    ] = False,
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
    _must_be_meant(address, open_to_network=open_to_network)
    from optioneer.app.launch import serve
    from optioneer.cli.progress import collect_garbage

    collect_garbage()
    serve(case, address=address, port=port, browser=browser, tell=shell.tell)


def _must_be_meant(address: str, *, open_to_network: bool) -> None:
    """Refuse to let other machines in unless that is asked for; then say what it means."""
    from optioneer.app.engine.settings import at_home

    if not address.strip():
        raise RequestError(
            "--address: it is empty, which would let every machine in; name one, e.g. 127.0.0.1."
        )
    if at_home(address):
        return
    if not open_to_network:
        raise RequestError(
            f"--address {address}: other machines could reach it. Whoever does sees and changes "
            "the cases that are opened in it, without a password; add --open-to-network if that "
            "is meant."
        )
    shell.tell(
        f"Note: whoever reaches {address} can use this app: there is no password, nothing is "
        "encrypted on the way, and folders of this machine are not opened for anybody."
    )
