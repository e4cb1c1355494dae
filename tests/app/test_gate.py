"""Who is let in: tried without a server."""

import asyncio
from collections.abc import MutableMapping
from typing import Any

import pytest

from optioneer.app.engine.gate import Asgi, Gate
from optioneer.app.engine.settings import at_home, names_of

Message = MutableMapping[str, Any]


def headers(**told: str) -> list[tuple[bytes, bytes]]:
    return [(name.encode(), value.encode()) for name, value in told.items()]


async def welcoming(scope: Message, receive: Any, send: Any) -> None:
    del scope, receive
    await send({"type": "http.response.start", "status": 200, "headers": []})


def at_home_gate(app: Asgi = welcoming) -> Gate:
    return Gate(app, names=names_of("127.0.0.1"))


def answer(gate: Gate, kind: str = "http", **told: str) -> list[Message]:
    """What a gate sends back."""
    sent: list[Message] = []

    async def receive() -> Message:
        await asyncio.sleep(0)
        return {"type": f"{kind}.connect"}

    async def send(message: Message) -> None:
        await asyncio.sleep(0)
        sent.append(message)

    asyncio.run(gate({"type": kind, "headers": headers(**told)}, receive, send))
    return sent


@pytest.mark.parametrize("host", ["127.0.0.1:8501", "localhost:8501", "LOCALHOST"])
def test_this_machine_may_ask_at_home(host: str) -> None:
    assert at_home_gate().lets_in(headers(host=host))


@pytest.mark.parametrize(
    "host", ["elsewhere.example:8501", "192.0.2.7:8501", "", "[::1", "127.0.0.1.example:8501"]
)
def test_at_home_no_other_name_or_address_is_answered(host: str) -> None:
    assert not at_home_gate().lets_in(headers(host=host))


def test_a_request_without_a_host_or_with_two_is_refused() -> None:
    gate = at_home_gate()
    assert not gate.lets_in([])
    assert not gate.lets_in([(b"host", b"localhost"), (b"host", b"elsewhere.example")])


def test_on_an_open_server_addresses_are_answered_and_names_made_to_point_here_are_not() -> None:
    """RFC 5737 keeps 192.0.2.0/24 for documentation, RFC 2606 the domain `example`."""
    gate = Gate(welcoming, names=names_of("0.0.0.0"), addresses=True)  # noqa: S104 - not bound
    assert gate.lets_in(headers(host="192.0.2.7:8501"))
    assert gate.lets_in(headers(host="[2001:db8::7]:8501"))
    rebound = headers(host="rebound.example:8501", origin="http://rebound.example:8501")
    assert not gate.lets_in(rebound)


@pytest.mark.parametrize(
    "origin",
    ["http://elsewhere.example", "null", "http://localhost:8502", "file://", "http://[::1", ""],
)
def test_a_page_of_another_place_is_refused(origin: str) -> None:
    told = headers(host="localhost:8501", origin=origin)
    assert not at_home_gate().lets_in(told)


def test_a_page_of_its_own_is_let_in() -> None:
    told = headers(host="localhost:8501", origin="http://localhost:8501")
    assert at_home_gate().lets_in(told)


def test_what_is_refused_never_reaches_the_app() -> None:
    async def never(scope: Message, receive: Any, send: Any) -> None:
        raise AssertionError(scope, receive, send)

    gate = at_home_gate(never)
    told = {"host": "localhost:8501", "origin": "http://elsewhere.example"}
    assert answer(gate, **told)[0]["status"] == 403
    assert answer(gate, "websocket", **told) == [{"type": "websocket.close", "code": 1008}]


def test_no_page_elsewhere_can_show_the_app_in_a_frame() -> None:
    for told in ({"host": "localhost"}, {"host": "elsewhere.example"}):
        head = dict(answer(at_home_gate(), **told)[0]["headers"])
        assert head[b"content-security-policy"] == b"frame-ancestors 'none'"
        assert head[b"x-frame-options"] == b"DENY"


@pytest.mark.parametrize("address", ["", " ", "0.0.0.0", "::", "192.0.2.7", "elsewhere.example"])  # noqa: S104 - asked about, not bound
def test_an_address_that_others_reach_or_an_empty_one_is_not_home(address: str) -> None:
    assert not at_home(address)
