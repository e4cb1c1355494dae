"""Figures far beyond what can be are refused in a sentence; each once ended in a traceback."""

from pathlib import Path
from shutil import copytree

import pytest

from tests.cases_as_texts import MILL
from tests.every_command import run

MILL_TURN = str(MILL)

EXTREME = [
    (("advise", MILL_TURN, "--budget", "1e308"), "below 1,000,000,000,000"),
    (("advise", MILL_TURN, "--budget", "1e12"), "below 1,000,000,000,000"),
    (("advise", MILL_TURN, "--precision", "1e-320%"), "a percentage from 0.0001 to below 100"),
    (("sensitivity", MILL_TURN, "--only", "horizon", "--years", "1e308"), "Use 0 to 60"),
    (("sensitivity", MILL_TURN, "--nudge", "1e308"), "Use 0 to 20"),
    (("sensitivity", MILL_TURN, "--rate", "1e308"), "Use 0 to 1.5"),
    (("sensitivity", MILL_TURN, "--spread", "1e308"), "Use a part below 1"),
]


@pytest.mark.parametrize(("words", "said"), EXTREME)
def test_a_figure_beyond_everything_is_refused_in_a_sentence(
    words: tuple[str, ...], said: str
) -> None:
    result = run(*words)
    assert result.exit_code == 2
    assert said in result.output


@pytest.mark.parametrize("amount", ["1e999998", "1e100000", "1e12", "Infinity", "NaN", "-1"])
@pytest.mark.parametrize(
    "words",
    [
        ("paid", "CASE", "--date", "2027-05-03", "--amount", "AMOUNT"),
        ("fitted", "CASE", "rotary-table", "--date", "2029-05-03", "--amount", "AMOUNT"),
        (
            *("fitted", "CASE", "rotary-table", "--date", "2029-05-03", "--amount", "1"),
            *("--call-out", "AMOUNT"),
        ),
        ("arrived", "CASE", "night-lots", "--date", "2029-05-03", "--margin", "AMOUNT"),
    ],
)
def test_an_amount_beyond_everything_is_not_recorded(
    words: tuple[str, ...], amount: str, tmp_path: Path
) -> None:
    case = tmp_path / "mill"
    copytree(MILL, case)
    before = sorted(case.iterdir())
    told = {"CASE": str(case), "AMOUNT": amount}
    result = run(*(told.get(word, word) for word in words))
    assert result.exit_code == 2
    assert "from 0 to below 1,000,000,000,000" in " ".join(result.output.split())
    assert sorted(case.iterdir()) == before
