"""Choosing within several budgets at once: C. C. Petersen, "Computational experience with variants
of the Balas algorithm applied to the selection of R&D projects", Management Science 13 (1967)
736-750; problems 1 and 2 of the file mknap1 of the OR-Library, optima as given in that file.
"""

import numpy as np
import pytest

from optioneer.valuation.choice.selection import Limit, cheapest

PROBLEMS = {
    "six projects": (
        "100 600 1200 2400 500 2000",
        (
            "8 12 13 64 22 41",
            "8 12 13 75 22 41",
            "3 6 4 18 6 4",
            "5 10 8 32 6 12",
            "5 13 8 42 6 20",
            "5 13 8 48 6 20",
            "0 0 0 0 8 0",
            "3 0 4 0 8 0",
            "3 2 4 0 8 4",
            "3 2 4 8 8 4",
        ),
        "80 96 20 36 44 48 10 18 22 24",
        (3800.0, "011001"),
    ),
    "ten projects": (
        "600.1 310.5 1800 3850 18.6 198.7 882 4200 402.5 327",
        (
            "20 5 100 200 2 4 60 150 80 40",
            "20 7 130 280 2 8 110 210 100 40",
            "60 3 50 100 4 2 20 40 6 12",
            "60 8 70 200 4 6 40 70 16 20",
            "60 13 70 250 4 10 60 90 20 24",
            "60 13 70 280 4 10 70 105 22 28",
            "5 2 20 100 2 5 10 60 0 0",
            "45 14 80 180 6 10 40 100 20 0",
            "55 14 80 200 6 10 50 140 30 40",
            "65 14 80 220 6 10 50 180 30 50",
        ),
        "450 540 200 360 440 480 200 360 440 480",
        (8706.1, "0101100101"),
    ),
}
"""Profits, what each project uses of each budget, the budgets, the optimum and its projects."""


def numbers(text: str) -> list[float]:
    return [float(word) for word in text.split()]


@pytest.mark.parametrize("name", PROBLEMS)
def test_published_optimum(name: str) -> None:
    profits, uses, budgets, (optimum, projects) = PROBLEMS[name]
    worth = numbers(profits)
    limits = [
        Limit([np.array([0.0, use]) for use in numbers(row)], room)
        for row, room in zip(uses, numbers(budgets), strict=True)
    ]
    found = cheapest([np.array([0.0, -profit]) for profit in worth], limits)
    assert found is not None
    assert "".join(map(str, found)) == projects
    assert sum(p for p, taken in zip(worth, found, strict=True) if taken) == pytest.approx(optimum)
