"""Starting the server."""

import socket

import pytest
from typer.testing import CliRunner

from optioneer.app.launch import free_port
from optioneer.cli import app
from optioneer.errors import RequestError


def test_a_port_that_is_taken_is_passed_over() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        assert port < free_port("127.0.0.1", port) <= port + 20


def test_an_address_of_another_machine_is_refused() -> None:
    with pytest.raises(RequestError, match="cannot be listened on"):
        free_port("192.0.2.1", 8501)  # RFC 5737: an address of documentation, nobody's


def test_without_its_libraries_the_command_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("optioneer.cli.in_browser.NEEDED", ("no_such_library", "altair"))
    result = CliRunner().invoke(app, ["app", "."])
    assert result.exit_code == 2
    assert "The app needs no_such_library: pip install 'optioneer[app]'." in result.output
