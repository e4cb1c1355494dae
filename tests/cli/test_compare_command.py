"""`compare` through the runner."""

import json
from datetime import date
from pathlib import Path

from optioneer.study.compare.compare import ComparisonRequest
from optioneer.study.compare.currencies import Exchange
from tests import comparisons, shop
from tests.cli.fakes import Asked, Run


def test_compare_passes_on_packages_growth_and_rates(run: Run, asked: Asked) -> None:
    rates = ("--rate", "EUR=1.08", "--rate-date", "2026-11-20", "--currency", "USD")
    wanted = ("--package", "base", "--package", "other-shop:base", "--growth", "demo-shop")
    result = run("compare", "shop", "other-shop", *rates, *wanted)
    assert result.exit_code == 0, result.stderr
    assert "Best is A, Advice on the Demo mill-turn" in result.stdout
    exchange = Exchange("USD", {"EUR": 1.08}, date(2026, 11, 20))
    packages = ("base", "other-shop:base")
    cases = (shop.case(), comparisons.cases()[1])
    assert asked.calls == [
        ComparisonRequest(cases, packages=packages, growth="demo-shop", exchange=exchange)
    ]


def test_compare_writes_every_figure_as_json_and_draws(run: Run, tmp_path: Path) -> None:
    answer, chart = tmp_path / "answer.json", tmp_path / "costs.svg"
    result = run("compare", "shop", "other-shop", "--json", answer, "--chart", chart)
    assert result.exit_code == 0, result.stderr
    told = json.loads(answer.read_text(encoding="utf-8"))
    assert told == comparisons.comparison().model_dump(mode="json")
    assert chart.read_bytes().startswith(b"<svg")


def test_compare_refuses_what_is_no_picture(run: Run, tmp_path: Path) -> None:
    result = run("compare", "shop", "other-shop", "--chart", tmp_path / "costs.txt")
    assert result.exit_code == 2
    assert "is no picture; end it in .svg, .png, .pdf, .json." in result.stderr
