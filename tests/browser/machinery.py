"""A server of the app and a browser to look at it, both our own and both ended by us."""

import http.client
import os
import re
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Sequence
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from pathlib import Path

from optioneer.app.engine.drafts import Draft, Store, new_draft
from tests.patience import PATIENCE
from tests.programs import needed

HOME = "127.0.0.1"
QUIET = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    f"--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE {HOME}",
)
"""Arguments of a browser that asks nothing of anybody on its own account, and finds nobody else."""

ELSEWHERE = re.compile(rf"^(?!(https?|wss?)://{re.escape(HOME)}:|data:|blob:|about:)")
"""Addresses that are not on this machine."""

ROOT = Path(__file__).parents[2]


@dataclass(frozen=True)
class Server:
    """The app as it serves."""

    port: int
    state: Path
    process: "subprocess.Popen[str]"

    @property
    def url(self) -> str:
        return f"http://{HOME}:{self.port}"

    def draft(self, name: str, texts: dict[str, str], folder: Path | None = None) -> Draft:
        """A draft that was there before anybody looks."""
        draft = new_draft(name, texts, folder=folder)
        Store(self.state / "drafts").put(draft)
        return draft


def free_port() -> int:
    with socket.socket() as taken:
        taken.bind((HOME, 0))
        return int(taken.getsockname()[1])


def serving(state: Path, *arguments: str) -> AbstractContextManager[Server]:
    """The app, started as a person starts it."""
    port = free_port()
    command = ["-m", "optioneer", "app", *arguments, "--no-browser", "--port", str(port)]
    return running(command, port=port, state=state)


@contextmanager
def running(command: Sequence[str], *, port: int, state: Path) -> Iterator[Server]:
    """A server started by a command of Python, ended at last; it may have no faults."""
    process = subprocess.Popen(
        [sys.executable, *command],
        cwd=ROOT,
        env=environment(state),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    said: list[str] = []
    reader = threading.Thread(target=lambda: said.extend(process.stdout or ()), daemon=True)
    reader.start()
    try:
        server = Server(port, state, process)
        until_healthy(server, said)
        yield server
    finally:
        process.terminate()
        process.wait(PATIENCE)
        reader.join(PATIENCE)
        if process.stdout is not None:
            process.stdout.close()
    faults = [line for line in said if "Traceback" in line]
    assert not faults, "".join(said)


def environment(state: Path) -> dict[str, str]:
    """Drafts of its own, and no more threads than the machine has room for."""
    return {**os.environ, "OPTIONEER_STATE": str(state), "OPENBLAS_NUM_THREADS": "1"}


def until_healthy(server: Server, said: list[str]) -> None:
    end = time.monotonic() + PATIENCE
    while time.monotonic() < end and server.process.poll() is None:
        asked = http.client.HTTPConnection(HOME, server.port, timeout=PATIENCE)
        try:
            asked.request("GET", "/_stcore/health")
            if asked.getresponse().status == http.client.OK:
                return
        except OSError:
            time.sleep(0.05)
        finally:
            asked.close()
    raise AssertionError("the server does not answer: " + "".join(said))


class Killable:
    """A browser of our own that can be killed as a power cut would.

    Parameters
    ----------
    profile
        What it keeps between starts.
    """

    def __init__(self, profile: Path) -> None:
        self._told = profile / "DevToolsActivePort"
        self._told.unlink(missing_ok=True)
        kept = [f"--user-data-dir={profile}", "--remote-debugging-port=0", "--headless=new"]
        self._process = subprocess.Popen(
            [needed("chromium"), *QUIET, *kept, "about:blank"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,  # its children go with it
        )

    def address(self) -> str:
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            if self._told.exists() and len(said := self._told.read_text().split()) == 2:
                return f"http://127.0.0.1:{said[0]}"
            time.sleep(0.05)
        raise AssertionError("the browser tells no port")

    def kill(self) -> None:
        if self._process.poll() is None:
            os.killpg(self._process.pid, signal.SIGKILL)
        self._process.wait(PATIENCE)


@contextmanager
def killable(profile: Path) -> Iterator[Killable]:
    browser = Killable(profile)
    try:
        yield browser
    finally:
        browser.kill()
