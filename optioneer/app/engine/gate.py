"""Who is let in, before anything of the server's framework sees the request.

Three things a page elsewhere could try in the browser of somebody who has the app open: send its
own requests (a foreign origin), make its own name point at this machine and ask by that name (a
foreign host), or show the app in a frame of its own.
"""

from collections.abc import Awaitable, Callable, Collection, Iterable, MutableMapping
from ipaddress import ip_address
from typing import Any
from urllib.parse import urlsplit

Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
Asgi = Callable[[Message, Receive, Send], Awaitable[None]]

HEADERS = (
    (b"content-security-policy", b"frame-ancestors 'none'"),
    (b"x-frame-options", b"DENY"),
    (b"x-content-type-options", b"nosniff"),
    (b"referrer-policy", b"no-referrer"),
)
"""What every answer says to the browser: nobody frames it, nothing is guessed, nothing is told."""

FORBIDDEN = 403
_REFUSED = b"This server answers only requests that name it by its own address."


class Gate:
    """A server behind a gate.

    Parameters
    ----------
    app
        What is served, an ASGI application.
    names
        Names by which the server may be asked for.
    addresses
        Whether it may be asked for by any plain address: a name can be made to point here by
        whoever owns it, an address cannot.
    """

    def __init__(self, app: Asgi, *, names: Collection[str], addresses: bool = False) -> None:
        self._app, self._names, self._addresses = app, frozenset(names), addresses

    async def __call__(self, scope: Message, receive: Receive, send: Send) -> None:
        """Hand a request on, or refuse it."""
        if scope["type"] not in {"http", "websocket"}:
            await self._app(scope, receive, send)
        elif self.lets_in(scope["headers"]):
            await self._app(scope, receive, _with_headers(send))
        else:
            await _refuse(scope["type"], receive, send)

    def lets_in(self, headers: Iterable[tuple[bytes, bytes]]) -> bool:
        """Whether a request names this server, and comes from a page of its own if from any.

        Parameters
        ----------
        headers
            Names, in small letters, and values.
        """
        told = [(name, value.decode("latin-1").strip().lower()) for name, value in headers]
        hosts = [value for name, value in told if name == b"host"]
        if len(hosts) != 1 or not self._is_ours(hosts[0]):
            return False
        return all(_place(value) == hosts[0] for name, value in told if name == b"origin")

    def _is_ours(self, host: str) -> bool:
        try:
            name = urlsplit(f"//{host}").hostname or ""
        except ValueError:
            return False
        return name in self._names or (self._addresses and _is_address(name))


def _place(origin: str) -> str:
    """Host and port of an origin; empty where it has none."""
    try:
        return urlsplit(origin).netloc
    except ValueError:
        return ""


def _is_address(name: str) -> bool:
    try:
        ip_address(name)
    except ValueError:
        return False
    return True


def _with_headers(send: Send) -> Send:
    async def sent(message: Message) -> None:
        if message["type"] == "http.response.start":
            message["headers"] = [*message.get("headers", ()), *HEADERS]
        await send(message)

    return sent


async def _refuse(kind: str, receive: Receive, send: Send) -> None:
    if kind == "websocket":
        await receive()  # it must be heard before it is closed; closed unaccepted, it is a 403
        await send({"type": "websocket.close", "code": 1008})
        return
    head = [(b"content-type", b"text/plain; charset=utf-8"), *HEADERS]
    await send({"type": "http.response.start", "status": FORBIDDEN, "headers": head})
    await send({"type": "http.response.body", "body": _REFUSED})
