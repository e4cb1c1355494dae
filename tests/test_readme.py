"""The README tells the truth about commands and their options."""

import re
from pathlib import Path

import pytest
from typer.testing import CliRunner

from optioneer.cli import app

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [command.name or "" for command in app.registered_commands]
BLOCK = re.compile(r"<!-- ci: ([\w ]+) -->\n```\n(.+)\n```\n")


def help_of(command: str) -> str:
    return CliRunner().invoke(app, [command, "--help"]).stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_shown(command: str) -> None:
    assert f"optioneer {command} " in README


def test_no_command_is_shown_that_is_not_there() -> None:
    shown = set(re.findall(r"(?:^|`|/)optioneer ([a-z-]+)", README, re.MULTILINE))
    assert shown == set(COMMANDS)


def test_every_option_of_a_command_that_is_shown_exists() -> None:
    shown = set(re.findall(r"`(--[a-z-]+)", README)) | set(
        re.findall(r"optioneer value .*?(--[a-z]+)", README)
    )
    assert len(shown) >= 4
    known = {
        option for command in COMMANDS for option in re.findall(r"--[a-z-]+", help_of(command))
    }
    assert shown - known == set()


def test_the_two_commands_for_a_fresh_machine_are_one_line_each() -> None:
    blocks = dict(BLOCK.findall(README))
    assert set(blocks) == {"main job", "tests"}
    assert all(command.startswith("python3 -m venv .venv && ") for command in blocks.values())
    assert "\n" not in "".join(blocks.values())


@pytest.mark.parametrize("name", ["DEVELOPERS.md", "CHANGELOG.md"])
def test_what_the_readme_points_to_is_there(name: str) -> None:
    assert f"({name})" in README
    assert (ROOT / name).is_file()
