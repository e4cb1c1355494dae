"""Golden texts: whole pages as a reader sees them. Rewrite with ``pytest --rewrite-golden``."""

from collections.abc import Callable
from pathlib import Path

import pytest

from optioneer.errors import Fault
from optioneer.reports.advice.checked import check_page, fault_lines
from optioneer.reports.advice.compare import compare_page
from optioneer.reports.advice.pages import advice_page, package_page
from optioneer.reports.advice.sensitivity import all_together_page, one_at_a_time_page
from optioneer.reports.advice.whatif import turning_page, what_if_page
from optioneer.reports.asking.acting import acting_page
from optioneer.reports.faces.terminal import in_encoding, terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.ready.first_chips import counted_on_dates
from tests import comparisons, sensitivities, shop, waiting, whatifs

GOLDEN = Path(__file__).parent / "golden"
DOLLARS = Figures("USD")
NOTICE = Fault("paying.toml", "this file is not read by this version")
PAGES: dict[str, Callable[[], str]] = {
    "waiting.txt": lambda: terminal_text(
        acting_page(shop.case(), waiting.every_kind(), DOLLARS), width=100
    ),
    "advice-80.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.advice(), DOLLARS), width=80
    ),
    "advice-120.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.advice(), DOLLARS), width=120
    ),
    "advice-break-even.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.advice_with_break_evens(), DOLLARS), width=100
    ),
    "advice-cautious.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.cautious_advice(), DOLLARS), width=100
    ),
    "advice-proven.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.precise(shop.proven(shop.advice())), DOLLARS), width=100
    ),
    "advice-searched.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.searched(shop.advice()), DOLLARS), width=100
    ),
    "advice-german-figures.txt": lambda: terminal_text(
        advice_page(shop.case(), shop.advice(budget=380_000.0), Figures("EUR", "de_DE"))
    ),
    "advice-ascii.txt": lambda: in_encoding(
        terminal_text(advice_page(shop.case(), shop.advice(), DOLLARS)), "ascii"
    ),
    "package.txt": lambda: terminal_text(
        package_page(shop.case(), shop.advice().advised, DOLLARS), width=100
    ),
    "what-if.txt": lambda: terminal_text(
        what_if_page(shop.case(), whatifs.what_if(), DOLLARS), width=100
    ),
    "turning.txt": lambda: terminal_text(
        turning_page(shop.case(), whatifs.turning(), DOLLARS), width=80
    ),
    "compare.txt": lambda: terminal_text(
        compare_page(comparisons.cases(), comparisons.comparison(), DOLLARS), width=100
    ),
    "one-at-a-time.txt": lambda: terminal_text(
        one_at_a_time_page(shop.case(), sensitivities.one_at_a_time(), DOLLARS), width=100
    ),
    "all-together.txt": lambda: terminal_text(
        all_together_page(shop.case(), sensitivities.all_together(), DOLLARS), width=80
    ),
    "check.txt": lambda: terminal_text(
        check_page(shop.case(), [NOTICE], DOLLARS, counted=counted_on_dates(shop.case())), width=100
    ),
    "faults.txt": lambda: (
        "\n".join(
            fault_lines(
                [
                    Fault("options.csv, row 14, price", "-1200 is below zero", "Prices are >= 0."),
                    Fault("machine.toml, [dates]", "order is missing"),
                ]
            )
        )
        + "\n"
    ),
}


@pytest.mark.parametrize("name", PAGES)
def test_a_page_reads_as_its_golden_text(name: str, pytestconfig: pytest.Config) -> None:
    said = PAGES[name]()
    if pytestconfig.getoption("--rewrite-golden"):
        (GOLDEN / name).write_text(said, encoding="utf-8")
    assert said == (GOLDEN / name).read_text(encoding="utf-8")


def test_no_golden_text_is_left_unused() -> None:
    assert {file.name for file in GOLDEN.iterdir()} == set(PAGES)


@pytest.mark.parametrize("width", [80, 100, 140])
def test_no_line_is_wider_than_the_terminal(width: int) -> None:
    text = terminal_text(advice_page(shop.case(), shop.advice(), DOLLARS), width=width)
    assert max(len(line) for line in text.splitlines()) <= width
