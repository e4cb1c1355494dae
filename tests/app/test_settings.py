"""How the server is set up."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from optioneer.app.engine.settings import HOME, SETTINGS, at_home, for_address

FILE = Path(__file__).parent.parent.parent / ".streamlit" / "config.toml"


def flat(table: dict[str, Any], start: str = "") -> dict[str, Any]:
    found: dict[str, Any] = {}
    for key, value in table.items():
        found |= (
            flat(value, f"{start}{key}.") if isinstance(value, dict) else {f"{start}{key}": value}
        )
    return found


def test_the_file_for_streamlit_run_says_what_the_command_says() -> None:
    assert flat(tomllib.loads(FILE.read_text(encoding="utf-8"))) == dict(for_address(HOME))


def test_nothing_is_told_to_anyone_and_only_this_machine_is_listened_to() -> None:
    assert SETTINGS["browser.gatherUsageStats"] is False
    assert SETTINGS["server.address"] == "127.0.0.1"
    assert SETTINGS["server.enableXsrfProtection"] is True
    assert for_address(HOME)["server.allowedHosts"] == ["127.0.0.1", "localhost"]


def test_garbage_is_not_collected_after_every_drawing() -> None:
    assert SETTINGS["runner.postScriptGC"] is False


@pytest.mark.parametrize(
    ("address", "home"),
    [("127.0.0.1", True), ("localhost", True), ("0.0.0.0", False)],  # noqa: S104 - asked about, not bound
)
def test_folders_are_open_only_to_who_sits_at_this_machine(address: str, home: bool) -> None:  # noqa: FBT001 - a table
    assert at_home(address) is home


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, definition 'relative luminance'."""
    parts = [int(colour[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    linear = [p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(first: str, second: str) -> float:
    """Contrast ratio, WCAG 2.2, definition 'contrast ratio'."""
    light, dark = sorted((luminance(first), luminance(second)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


@pytest.mark.parametrize("theme", ["light", "dark"])
@pytest.mark.parametrize("ink", ["primaryColor", "textColor", "linkColor"])
@pytest.mark.parametrize("ground", ["backgroundColor", "secondaryBackgroundColor"])
def test_text_stands_out_as_wcag_2_2_success_criterion_1_4_3_asks(
    theme: str, ink: str, ground: str
) -> None:
    told = (str(SETTINGS[f"theme.{theme}.{name}"]) for name in (ink, ground))
    assert contrast(*told) >= 4.5
