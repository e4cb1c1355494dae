"""The server itself: the app behind its gate, and an end within seconds when it is told to end."""

import contextlib
import os
import signal
import threading
import time
from collections.abc import Callable
from pathlib import Path
from types import FrameType

import uvicorn
from starlette.middleware import Middleware
from streamlit import config, net_util
from streamlit.starlette import App

from optioneer.app.apart.aside import ASIDE
from optioneer.app.engine.gate import Gate
from optioneer.app.engine.settings import at_home, names_of

PATIENCE = 2
"""What open pages get to part when the server is told to end [s]."""

HURRY = 4.0
"""After so long whatever still runs is ended: drafts are on disk since their last change [s]."""

TICK = 0.05
"""How often it is asked whether the server listens by now [s]."""

SIGNALS = (signal.SIGINT, signal.SIGTERM)


def serve_at(address: str, port: int, *, script: Path, greet: Callable[[str], None]) -> None:
    """Serve the app, set up before, until Ctrl-C or a signal to end.

    Parameters
    ----------
    address, port
        Where to listen; both are free.
    script
        What is run for every visitor.
    greet
        Called with the place of the app once it listens there, beside the server.
    """
    server = _Server(
        uvicorn.Config(
            App(script, middleware=[gate(address)]),
            host=address,
            port=port,
            ws_max_size=2**20 * int(config.get_option("server.maxMessageSize")),
            timeout_graceful_shutdown=PATIENCE,
            log_level="warning",
            access_log=False,
        )
    )
    place = url(address, port)
    threading.Thread(target=_when_it_listens, args=(server, greet, place), daemon=True).start()
    before = {
        one: signal.signal(one, lambda *_: None) for one in SIGNALS
    }  # raised again at its end
    try:
        server.run()
    finally:
        for one, handler in before.items():
            signal.signal(one, handler)


def gate(address: str) -> Middleware:
    """What stands before the app on a server that listens on `address`."""
    ask_nobody()
    return Middleware(Gate, names=names_of(address), addresses=not at_home(address))


def ask_nobody() -> None:
    """Keep the framework from asking an outside server for the address of this machine.

    It does so to tell foreign origins from its own, which the gate has done before, and to show it.
    """
    net_util.get_external_ip = lambda: None
    net_util.get_internal_ip = lambda: None


def url(address: str, port: int) -> str:
    """Where a browser on this machine finds a server that listens on `address`.

    Examples
    --------
    >>> url("::1", 8501), url("0.0.0.0", 8501)
    ('http://[::1]:8501', 'http://localhost:8501')
    """
    name = "localhost" if address in {"0.0.0.0", "::"} else address  # noqa: S104 - named, not bound
    return f"http://{f'[{name}]' if ':' in name else name}:{port}"


class _Server(uvicorn.Server):
    """A server that ends, even where something still runs or nobody reads what it says."""

    def handle_exit(self, sig: int, frame: FrameType | None) -> None:
        """Begin to end, and see to it that the end comes."""
        super().handle_exit(sig, frame)
        threading.Thread(target=_ended_at_last, daemon=True).start()


def _ended_at_last() -> None:
    time.sleep(HURRY)
    ASIDE.close()
    os._exit(0)


def _when_it_listens(server: uvicorn.Server, greet: Callable[[str], None], place: str) -> None:
    """Greet; a terminal that has gone is no reason not to serve."""
    while not server.started:
        if server.should_exit:
            return
        time.sleep(TICK)
    with contextlib.suppress(OSError, ValueError):
        greet(place)
