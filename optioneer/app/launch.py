"""Starting the server: the settings of ours, and the first answer under way before anyone looks."""

import contextlib
import errno
import os
import socket
import sys
import threading
import time
import webbrowser
from collections.abc import Callable
from functools import partial
from pathlib import Path

from optioneer.app.apart.aside import ASIDE
from optioneer.app.engine.settings import for_address
from optioneer.errors import OptioneerError, RequestError

MOST_TRIED = 20
"""Ports that are tried."""

MOST_REMEMBERED = 2**26
"""Memory for what previews have swept: what takes more is swept beside the server [bytes]."""

LATER = 2.0
"""After so long the first page is drawn, and the others may be imported [s]."""

SCRIPT = Path(__file__).with_name("script.py")


def serve(
    case: Path | None, *, address: str, port: int, browser: bool, tell: Callable[[str], None]
) -> None:
    """Serve the app until it is stopped, by Ctrl-C or by a signal to end.

    Parameters
    ----------
    case
        Folder of a case to open, if any.
    address
        Where to listen.
    port
        Where to listen; the next free one when it is taken.
    browser
        Whether to open a browser on it.
    tell
        Called with a line for whoever started it.
    """
    free = free_port(address, port)
    ASIDE.open()
    threading.Thread(target=warm, args=(case,), daemon=True).start()
    from streamlit import config  # noqa: PLC0415 - only the server needs it
    from streamlit.web import bootstrap  # noqa: PLC0415 - only the server needs it

    from optioneer.app.engine.server import serve_at  # noqa: PLC0415 - only the server needs it

    flags = {**for_address(address), "server.port": free, "server.headless": not browser}
    config._main_script_path = str(SCRIPT)  # noqa: SLF001 - as streamlit's own command does
    bootstrap.load_config_options({name.replace(".", "_"): value for name, value in flags.items()})
    sys.argv = [str(SCRIPT), *([] if case is None else [str(case.resolve())])]

    def greet(place: str) -> None:
        if browser:
            webbrowser.open(place)
        tell(f"The app is at {place}. Ctrl-C ends it.")

    try:
        serve_at(address, free, script=SCRIPT, greet=greet)
    finally:
        ASIDE.close()


def free_port(address: str, port: int) -> int:
    """The first port from `port` on that nobody listens on.

    Raises
    ------
    RequestError
        The address is not one of this machine, or too many ports in a row are taken.
    """
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    for candidate in range(port, port + MOST_TRIED):
        with socket.socket(family) as tried:
            if os.name != "nt":  # there it would let two servers share a port
                tried.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                tried.bind((address, candidate))
            except OSError as error:
                if error.errno != errno.EADDRINUSE:
                    raise RequestError(f"--address: {address} cannot be listened on.") from error
            else:
                return candidate
    raise RequestError(f"--port: {port} and the {MOST_TRIED - 1} after it are taken; name another.")


def warm(case: Path | None) -> None:
    """Find the preview of the case that will be asked for, and import what the pages need."""
    importing = threading.Thread(target=_import_first, daemon=True)
    importing.start()
    if case is not None:
        _prepare_preview(case)
    importing.join()
    time.sleep(LATER)
    _import_others()


def _import_first() -> None:
    from optioneer.app.apart import worked_out  # noqa: F401, PLC0415 - imported to be ready
    from optioneer.app.views import answer, opening  # noqa: F401, PLC0415 - imported to be ready
    from optioneer.charts import screen  # noqa: PLC0415 - only the server needs it
    from optioneer.valuation.cache.memory import MEMORY  # noqa: PLC0415 - imported to be ready

    screen.trust()
    MEMORY.most = MOST_REMEMBERED


def _import_others() -> None:
    from optioneer.app.views import (  # noqa: PLC0415 - imported to be ready
        bookkeeper,  # noqa: F401 - imported to be ready
        buyer,  # noqa: F401 - imported to be ready
        case_page,  # noqa: F401 - imported to be ready
        decide,  # noqa: F401 - imported to be ready
        first_chips,  # noqa: F401 - imported to be ready
        owner,  # noqa: F401 - imported to be ready
        questions,  # noqa: F401 - imported to be ready
    )


def _prepare_preview(case: Path) -> None:
    """Have the case read and previewed beside the server, which has enough to import meanwhile."""
    from optioneer.app.apart import reading  # noqa: PLC0415 - imported to be ready
    from optioneer.app.engine import cached  # noqa: PLC0415 - imported to be ready
    from optioneer.files.case.texts import folder_texts  # noqa: PLC0415 - imported to be ready

    by = partial(ASIDE.done, reading.read, progress=None)
    with contextlib.suppress(OptioneerError):  # the page itself will tell
        read = cached.read(case.resolve().name, folder_texts(case), by=by)
        if read.case is not None:
            cached.preview_aside(read.case)
