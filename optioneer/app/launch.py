"""Starting the server: the settings of ours, and the first answer under way before anyone looks."""

import threading
from pathlib import Path

from optioneer.app.settings import for_address
from optioneer.errors import OptioneerError

SCRIPT = Path(__file__).with_name("script.py")


def serve(case: Path | None, *, address: str, port: int, browser: bool) -> None:
    """Serve the app until it is stopped.

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
    """
    from streamlit import config  # noqa: PLC0415 - only the server needs it
    from streamlit.web import bootstrap  # noqa: PLC0415 - likewise

    flags = {**for_address(address), "server.port": port, "server.headless": not browser}
    config._main_script_path = str(SCRIPT)  # noqa: SLF001 - as streamlit's own command does
    bootstrap.load_config_options({name.replace(".", "_"): value for name, value in flags.items()})
    threading.Thread(target=warm, args=(case,), daemon=True).start()
    arguments = [] if case is None else [str(case.resolve())]
    bootstrap.run(str(SCRIPT), False, arguments, flags)


def warm(case: Path | None) -> None:
    """Import what the first page needs, and find the preview of the case that will be asked for."""
    from optioneer.app import answer, cached, opening  # noqa: F401, PLC0415 - imported to be ready
    from optioneer.files.texts import folder_texts  # noqa: PLC0415 - likewise

    if case is None:
        return
    try:
        read = cached.read(case.resolve().name, folder_texts(case))
        if read.case is not None:
            cached.preview(read.case)
    except OptioneerError:
        return  # the page itself will tell
