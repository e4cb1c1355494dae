"""A case put through every command: what the check passes, each takes or says in one sentence."""

import random
import traceback
from collections.abc import Iterator, Mapping
from pathlib import Path

from typer.testing import CliRunner, Result

from optioneer.cli import app
from tests.cases_as_texts import MILL, changed, texts_of
from tests.mutations import mutated

FUTURES = 32
"""Few, for what is tried is not the figures."""


def commands(out: Path) -> tuple[tuple[str, ...], ...]:
    """Every command that reads a case, but for the app; the case stands for ``CASE``."""
    base = ("--package", "base")
    return (
        ("advise", "CASE", "--no-proof", "--json", f"{out}/advice.json"),
        ("value", "CASE", "--package", ""),
        ("cash", "CASE", *base, "--csv", f"{out}/cash.csv", "--json", f"{out}/cash.json"),
        ("account", "CASE", *base, "--json", f"{out}/account.json"),
        ("bank", "CASE", *base),
        ("ready", "CASE", *base, "--json", f"{out}/ready.json"),
        ("calendar", "CASE", *base, "--out", f"{out}/days.ics"),
        ("request", "CASE", "--out", f"{out}/request.txt"),
        ("request", "CASE", "--before-advice", "--out", f"{out}/first.txt"),
        ("compare", "CASE", *base, "--json", f"{out}/compare.json"),
        ("wait", "CASE", "--json", f"{out}/wait.json"),
        ("bargain", "CASE", "--json", f"{out}/bargain.json"),
        ("whatif", "CASE", "--horizon", "x0.5"),
        ("turning", "CASE", "--discount-rate", "--from", "0.05", "--to", "0.1", "--steps", "2"),
        ("sensitivity", "CASE", "--futures", "16"),
        ("workbook", "CASE", "--out", f"{out}/case.xlsx"),
        ("take-in", f"{out}/case.xlsx", f"{out}/again"),
        ("workbook", "CASE", "--results", "--out", f"{out}/results.xlsx"),
        ("report", "CASE", "--out", f"{out}/report.html"),
        ("decide", "CASE", *base),
        ("history", "CASE"),
    )


def results(texts: Mapping[str, str], folder: Path) -> Iterator[tuple[str, Result]]:
    """What each command does with a case, by its name; the check first, and no other if it fails.

    Parameters
    ----------
    texts
        Text of each file.
    folder
        An empty folder to work in.
    """
    case = folder / "case"
    case.mkdir(parents=True)
    for name, text in texts.items():
        (case / name).write_text(text, encoding="utf-8")
    checked = run("check", str(case))
    yield "check", checked
    if checked.exit_code == 0:
        for command in commands(folder):
            words = [str(case) if word == "CASE" else word for word in command]
            yield command[0], run(*words)


def breaches(texts: Mapping[str, str], folder: Path) -> Iterator[str]:
    """What commands do with a case that they may not: each by its name and its last lines."""
    for command, result in results(texts, folder):
        yield from breach(command, result)


def run(*words: str) -> Result:
    return CliRunner().invoke(app, list(words))


def breach(command: str, result: Result) -> Iterator[str]:
    """Nothing when a command did its work, or refused it in a sentence; else what it did."""
    error = result.exception
    if error is not None and not isinstance(error, SystemExit):
        yield f"{command}: {''.join(traceback.format_exception(error)[-4:])}"
    elif result.exit_code not in {0, 2}:
        yield f"{command}: exit code {result.exit_code}"
    elif result.exit_code and not result.stderr.strip():
        yield f"{command}: refused without a word"


def changed_case(seed: int) -> dict[str, str]:
    """A demo with one to three changes, drawn by a seed."""
    rng = random.Random(seed)  # noqa: S311 - a test's chance
    demos = sorted(one for one in MILL.parent.iterdir() if one.is_dir())
    texts = texts_of(rng.choice(demos))
    return mutated(changed(texts, "growth.toml", r"^futures = .*", f"futures = {FUTURES}"), rng)
