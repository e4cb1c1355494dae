"""The README and the pages under ``docs/`` tell the truth about commands and their options."""

import re
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from optioneer.cli import app
from tests.pages import PAGES, ROOT, Printed, all_text, missing_passages, printed

README = (ROOT / "README.md").read_text(encoding="utf-8")
COMMANDS = [command.name or "" for command in app.registered_commands]
BLOCK = re.compile(r"<!-- ci: ([\w ]+) -->\n```\n(.+)\n```\n")
LINK = re.compile(r"\]\((?!https?:|#)([^)#]+)(?:#[^)]*)?\)")


def help_of(command: str) -> str:
    return CliRunner().invoke(app, [command, "--help"]).stdout


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_is_in_the_readme(command: str) -> None:
    assert f"optioneer {command} " in README


def test_no_command_is_shown_that_is_not_there() -> None:
    shown = set(re.findall(r"(?:^|`|/)optioneer ([a-z-]+)", all_text(), re.MULTILINE))
    assert shown == set(COMMANDS)


def test_every_option_of_a_command_that_is_shown_exists() -> None:
    shown = set(re.findall(r"`(--[a-z-]+)", all_text()))
    assert len(shown) >= 4
    known = {
        option for command in COMMANDS for option in re.findall(r"--[a-z-]+", help_of(command))
    }
    assert shown - known == set()


@pytest.mark.parametrize(
    "asked",
    [asked for page in PAGES for asked in printed(page)],
    ids=lambda asked: " ".join(asked.words),
)
def test_a_printed_command_is_understood(asked: Printed) -> None:
    """Its options and their values; ``tests/bench/test_pages.py`` runs them all."""
    command = typer.main.get_command(app)
    assert isinstance(command, typer.core.TyperGroup)
    name, *rest = asked.words
    command.commands[name].make_context(name, rest)


def test_the_first_commands_of_the_readme_say_what_is_printed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "100")
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    first = [asked for asked in printed(ROOT / "README.md") if asked.words[0] in {"new", "check"}]
    assert [asked.words[0] for asked in first] == ["new", "check"]
    for asked in first:
        told = CliRunner().invoke(app, asked.words)
        assert told.exit_code == 0
        assert missing_passages(asked, told.stdout) == []
    assert missing_passages(first[1], told.stdout.replace("13 options", "14 options")) != []


def test_the_two_commands_for_a_fresh_machine_are_one_line_each() -> None:
    blocks = dict(BLOCK.findall(README))
    assert set(blocks) == {"main job", "tests"}
    assert all(command.startswith("python3 -m venv .venv && ") for command in blocks.values())
    assert "\n" not in "".join(blocks.values())


@pytest.mark.parametrize("page", PAGES, ids=lambda page: page.name)
def test_what_a_page_points_to_is_there(page: Path) -> None:
    targets = LINK.findall(page.read_text(encoding="utf-8"))
    assert [name for name in targets if not (page.parent / name).exists()] == []


def test_the_readme_leads_to_every_page() -> None:
    pages = {f"docs/{page.name}" for page in PAGES if page.parent != ROOT}
    assert pages | {"DEVELOPERS.md", "CHANGELOG.md"} <= set(LINK.findall(README))
