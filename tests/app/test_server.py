"""The server as a process: who gets in, what it asks of others, how it ends."""

import http.client
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


def test_a_server_open_to_the_network_asks_no_outside_address_for_its_own(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with watched() as (proxy, asked):
        for name in ("http_proxy", "https_proxy", "HTTP_PROXY", "HTTPS_PROXY"):
            monkeypatch.setenv(name, f"http://{HOME}:{proxy}")
        monkeypatch.setenv("no_proxy", "")
        open_to_all = ("--address", "0.0.0.0", "--open-to-network")  # noqa: S104 - asked to
        with machinery.serving(tmp_path, *open_to_all) as server:
            here = f"{HOME}:{server.port}"
            for host, origin, status in (
                (here, f"http://{here}", 101),
                (here, "https://elsewhere.example", 403),
                ("rebound.example", "http://rebound.example", 403),
            ):
                told = {**UPGRADE, "Host": host, "Origin": origin}
                assert answered(server.port, "/_stcore/stream", told).status == status
    assert asked == []


def until_ended(server: Server) -> int:
    """Its exit code; machinery ends what does not end by itself."""
    return server.process.wait(PATIENCE)


def test_a_signal_to_end_ends_the_app_also_when_nobody_reads_what_it_says(tmp_path: Path) -> None:
    port = free_port()
    process = subprocess.Popen(
        [sys.executable, "-m", "optioneer", "app", "--no-browser", "--port", str(port)],
        cwd=machinery.ROOT,
        env=machinery.environment(tmp_path),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
    )
    try:
        server = Server(port, tmp_path, process)
        machinery.until_healthy(server, [])
        assert process.stdout is not None
        process.stdout.close()
        process.send_signal(signal.SIGTERM)
        assert until_ended(server) == 0
    finally:
        process.kill()
        process.wait(PATIENCE)


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
