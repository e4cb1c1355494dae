"""The server as a process: who gets in, what it asks of others, how it ends."""

import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optioneer.app import launch
from optioneer.cli import app
from tests.browser import machinery
from tests.browser.machinery import HOME, Server, free_port
from tests.patience import PATIENCE

UPGRADE = {
    "Connection": "Upgrade",
    "Upgrade": "websocket",
    "Sec-WebSocket-Version": "13",
    "Sec-WebSocket-Key": "dGhlIHNhbXBsZSBub25jZQ==",  # RFC 6455, section 1.3
}


def answered(port: int, path: str, headers: dict[str, str]) -> http.client.HTTPResponse:
    asked = http.client.HTTPConnection(HOME, port, timeout=PATIENCE)
    asked.putrequest("GET", path, skip_host=True)
    for name, value in headers.items():
        asked.putheader(name, value)
    asked.endheaders()
    response = asked.getresponse()
    asked.close()
    return response


@contextmanager
def watched() -> Iterator[tuple[int, list[bytes]]]:
    """A proxy that only notes what it is asked for: its port, and the first line of each."""
    asked: list[bytes] = []
    with socket.socket() as listening:
        listening.bind((HOME, 0))
        listening.listen()

        def note() -> None:
            while True:
                try:
                    one, _ = listening.accept()
                except OSError:
                    return
                with one:
                    asked.append(one.recv(200))

        threading.Thread(target=note, daemon=True).start()
        yield listening.getsockname()[1], asked
        listening.shutdown(socket.SHUT_RDWR)


@contextmanager
def unheard(state: Path, *arguments: str) -> Iterator[Server]:
    """A server, and nobody reads what it says until somebody asks."""
    port = free_port()
    command = ["-m", "optioneer", "app", *arguments, "--no-browser", "--port", str(port)]
    process = subprocess.Popen(
        [sys.executable, *command],
        cwd=machinery.ROOT,
        env=machinery.environment(state),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        server = Server(port, state, process)
        machinery.until_healthy(server, [])
        yield server
    finally:
        process.kill()
        process.wait(PATIENCE)


def test_a_server_open_to_the_network_asks_no_outside_address_and_ends_at_a_signal_unheard(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Not even for its own address; it ends also when what it says can be said to nobody."""
    with watched() as (proxy, asked):
        for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"):
            monkeypatch.setenv(name, f"http://{HOME}:{proxy}")
        monkeypatch.setenv("no_proxy", "")
        open_to_all = ("--address", "0.0.0.0", "--open-to-network")  # noqa: S104 - asked to
        with unheard(tmp_path, *open_to_all) as server:
            here = f"{HOME}:{server.port}"
            for host, origin, status in (
                (here, f"http://{here}", 101),
                (here, "https://elsewhere.example", 403),
                ("rebound.example", "http://rebound.example", 403),
            ):
                told = {**UPGRADE, "Host": host, "Origin": origin}
                assert answered(server.port, "/_stcore/stream", told).status == status
            said = server.process.stdout
            assert said is not None
            assert b"Traceback" not in os.read(said.fileno(), 1 << 16)  # it has said where it is
            said.close()
            server.process.send_signal(signal.SIGTERM)
            assert server.process.wait(PATIENCE) == 0
    assert asked == []


def test_an_empty_address_is_always_refused() -> None:
    for more in ((), ("--open-to-network",)):
        result = CliRunner().invoke(app, ["app", "--address", "", *more])
        assert result.exit_code == 2
        assert "it is empty, which would let every machine in" in result.output


def test_an_address_that_others_reach_is_refused_without_consent() -> None:
    result = CliRunner().invoke(app, ["app", "--address", "0.0.0.0"])  # noqa: S104 - refused
    assert result.exit_code == 2
    assert "without a password; add --open-to-network if that is meant" in result.output


def test_with_consent_it_is_said_what_that_means(monkeypatch: pytest.MonkeyPatch) -> None:
    asked: list[object] = []
    monkeypatch.setattr(launch, "serve", lambda *_, **told: asked.append(told["address"]))
    result = CliRunner().invoke(app, ["app", "--address", "0.0.0.0", "--open-to-network"])  # noqa: S104 - not bound
    assert (result.exit_code, asked) == (0, ["0.0.0.0"])  # noqa: S104 - as above
    assert "there is no password" in result.output
