"""How the server is set up: nothing leaves the machine, nobody else gets in."""

from collections.abc import Mapping
from ipaddress import ip_address
from socket import gethostname

HOME = "127.0.0.1"
"""The address that only this machine reaches."""

LARGEST_UPLOAD = 10
"""Most that can be uploaded at once [MB]."""

INK, PAPER = "#1d2733", "#ffffff"
"""Text and ground of the light theme."""

SETTINGS: Mapping[str, str | int | bool | list[str]] = {
    "browser.gatherUsageStats": False,
    "client.showErrorDetails": "none",
    "client.showErrorLinks": False,
    "client.toolbarMode": "minimal",
    "runner.postScriptGC": False,  # after every drawing it takes more than the drawing itself
    "server.address": HOME,
    "server.enableXsrfProtection": True,
    "server.fileWatcherType": "none",
    "server.maxCacheDataSize": "512mb",
    "server.maxUploadSize": LARGEST_UPLOAD,
    "server.showEmailPrompt": False,
    "theme.baseRadius": "small",
    "theme.paddingTop": "compact",
    "theme.light.primaryColor": "#0f5c63",
    "theme.light.backgroundColor": PAPER,
    "theme.light.secondaryBackgroundColor": "#eef2f3",
    "theme.light.textColor": INK,
    "theme.light.linkColor": "#0f5c63",
    "theme.dark.primaryColor": "#6cc4c9",
    "theme.dark.backgroundColor": "#14191f",
    "theme.dark.secondaryBackgroundColor": "#1f272f",
    "theme.dark.textColor": "#e8edf0",
    "theme.dark.linkColor": "#6cc4c9",
}
"""Options of the server by name; the file for `streamlit run` says the same."""


def for_address(address: str) -> Mapping[str, str | int | bool | list[str]]:
    """The settings of a server that listens on `address`.

    At home only requests that name this machine are answered, so that no page from elsewhere can
    reach the app through a name that it makes point here.
    """
    hosts = {"server.allowedHosts": list(names_of(address))} if at_home(address) else {}
    return {**SETTINGS, "server.address": address, **hosts}


def names_of(address: str) -> tuple[str, ...]:
    """Names by which a server that listens on `address` may be asked for.

    One that others reach is asked for by an address, or by the name of this machine itself.
    """
    own = (address, HOME) if at_home(address) else (gethostname().lower(),)
    return tuple(dict.fromkeys((*own, "localhost")))


def at_home(address: str) -> bool:
    """Whether only this machine can reach a server that listens on `address`.

    Examples
    --------
    >>> at_home("localhost"), at_home("127.0.0.2"), at_home("::1"), at_home("0.0.0.0"), at_home("")
    (True, True, True, False, False)
    """
    try:
        return address == "localhost" or ip_address(address).is_loopback
    except ValueError:
        return False
