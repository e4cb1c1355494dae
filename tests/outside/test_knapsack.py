"""The frontier of budgets against published knapsack optima.

A knapsack item is a cluster with two states: left out, or in at its weight (price) with its profit
(cost, negative); the capacity is the budget. All values exact.

p01 to p08: J. Burkardt, data set KNAPSACK_01, with the optimal selections (read in a copy,
github.com/mauropappaterra/Genetic-Algorithm-KNAPSACK_01; p05 to p08 from memory, checked against
the weight of p06 and the profits of p07 and p08 that the data set's own text states; p07 and p08
are from Kreher & Stinson, Combinatorial Algorithms, CRC 1999).
f1, f3, f4, f9: low-dimensional knapsack problems, optima as listed in github.com/kislN/KNAPSACK_01.
Fifty items: worked example of the OR-Tools guide, page "The knapsack problem" (data read, optimum
7534 from memory).
"""

import numpy as np
import pytest

from optioneer.valuation.choice.frontier import merged

SELECTIONS = {
    "p01": (
        165,
        "23 31 29 44 53 38 63 85 89 82",
        "92 57 49 68 60 43 67 84 87 72",
        "1111010000",
        309,
    ),
    "p02": (26, "12 7 11 8 9", "24 13 23 15 16", "01110", 51),
    "p03": (190, "56 59 80 64 75 17", "50 50 64 46 50 5", "110010", 150),
    "p04": (50, "31 10 20 19 4 3 6", "70 20 39 37 7 5 10", "1001000", 107),
    "p05": (104, "25 35 45 5 25 3 2 2", "350 400 450 20 70 8 5 5", "10111011", 900),
    "p06": (170, "41 50 49 59 55 57 60", "442 525 511 593 546 564 617", "0101001", 1735),
    "p07": (
        750,
        "70 73 77 80 82 87 90 94 98 106 110 113 115 118 120",
        "135 139 149 150 156 163 173 184 192 201 210 214 221 229 240",
        "101010111000011",
        1458,
    ),
    "p08": (
        6404180,
        (
            "382745 799601 909247 729069 467902 44328 34610 698150 823460 903959 853665 551830 "
            "610856 670702 488960 951111 323046 446298 931161 31385 496951 264724 224916 169684"
        ),
        (
            "825594 1677009 1676628 1523970 943972 97426 69666 1296457 1679693 1902996 1844992 "
            "1049289 1252836 1319836 953277 2067538 675367 853655 1826027 65731 901489 577243 "
            "466257 369261"
        ),
        "110111000110100100000111",
        13549094,
    ),
}
"""Capacity, weights, profits, the published selection and its profit."""

OPTIMA = {
    "f1": (269, "95 4 60 32 23 72 80 62 65 46", "55 10 47 5 4 50 8 61 85 87", 295),
    "f3": (20, "6 5 9 7", "9 11 13 15", 35),
    "f4": (11, "2 4 6 7", "6 10 12 13", 23),
    "f9": (80, "15 20 17 8 31", "33 24 36 37 12", 130),
    "fifty items": (
        850,
        (
            "7 0 30 22 80 94 11 81 70 64 59 18 0 36 3 8 15 42 9 0 42 47 52 32 26 48 55 6 29 84 2 4 "
            "18 56 7 29 93 44 71 3 86 66 31 65 0 79 20 65 52 13"
        ),
        (
            "360 83 59 130 431 67 230 52 93 125 670 892 600 38 48 147 78 256 63 17 120 164 432 35 "
            "92 110 22 42 50 323 514 28 87 73 78 15 26 78 210 36 85 189 274 43 33 10 19 389 276 312"
        ),
        7534,
    ),
}
"""Capacity, weights, profits, optimum."""


def numbers(text: str) -> list[float]:
    """Numbers separated by blanks."""
    return [float(word) for word in text.split()]


def best_within(capacity: float, weights: str, profits: str) -> tuple[float, str]:
    """Profit and selection of the best point of the frontier within the capacity."""
    found = merged(
        [np.array([0.0, weight]) for weight in numbers(weights)],
        [np.array([0.0, -profit]) for profit in numbers(profits)],
    )
    assert found.within == 0.0, "nothing was thinned out"
    last = np.flatnonzero(found.price <= capacity)[-1]
    return -float(found.cost[last]), "".join(str(state) for state in found.states[last])


@pytest.mark.parametrize("name", SELECTIONS)
def test_published_selection(name: str) -> None:
    capacity, weights, profits, selection, profit = SELECTIONS[name]
    assert best_within(capacity, weights, profits) == (profit, selection)


@pytest.mark.parametrize("name", OPTIMA)
def test_published_optimum(name: str) -> None:
    capacity, weights, profits, optimum = OPTIMA[name]
    assert best_within(capacity, weights, profits)[0] == optimum
