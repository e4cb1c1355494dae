"""Textbook networks.

Hillier and Lieberman, Introduction to Operations Research, 7th ed., chapter 22 (a contractor's
fourteen activities, three-point estimates; from memory), Tables 22.1, 22.3, 22.4.
Taylor, Introduction to Management Science, solutions to chapter 8, first and second table of
activities (arrow notation).
Russell and Taylor, Operations Management, solutions to chapter 9, the advertising firm (three-point
estimates, means and variances of three paths).
"""

import numpy as np
import pytest

from optioneer.site.calendar import Calendar
from optioneer.site.network import (
    Arc,
    Network,
    backward,
    driving,
    float_days,
    forward,
    pert_mean,
    pert_quantile,
)

EVERY_DAY = Calendar(np.ones(200, dtype=np.bool_))


def network(names: str, waits: dict[str, str]) -> Network:
    arcs = [Arc(names.index(b), names.index(a)) for a, befores in waits.items() for b in befores]
    return Network((False,) * len(names), tuple(arcs), (0.0,) * len(names), EVERY_DAY)


CONTRACTOR = {
    "A": (1, 2, 3, ""),
    "B": (2, 3.5, 8, "A"),
    "C": (6, 9, 18, "B"),
    "D": (4, 5.5, 10, "C"),
    "E": (1, 4.5, 5, "C"),
    "F": (4, 4, 10, "E"),
    "G": (5, 6.5, 11, "D"),
    "H": (5, 8, 17, "EG"),
    "I": (3, 7.5, 9, "C"),
    "J": (3, 9, 9, "FI"),
    "K": (4, 4, 4, "J"),
    "L": (1, 5.5, 7, "J"),
    "M": (1, 2, 3, "H"),
    "N": (5, 5.5, 9, "KL"),
}
SLACKS = {"A": 0, "B": 0, "C": 0, "D": 4, "E": 0, "F": 0, "G": 4, "H": 4, "I": 2, "J": 0, "K": 1}


def test_contractor_needs_44_weeks_along_a_b_c_e_f_j_l_n() -> None:
    names = "".join(CONTRACTOR)
    points = np.array([row[:3] for row in CONTRACTOR.values()], dtype=np.float64)
    days = pert_mean(*points.T)[:, None]
    tasks = network(names, {name: row[3] for name, row in CONTRACTOR.items()})
    dates = forward(tasks, days)
    late, _ = backward(tasks, days, np.full(days.shape, 44.0))
    assert dates[1].max() == pytest.approx(44)
    slack = dict(zip(names, float_days(tasks, dates[0], late)[:, 0], strict=True))
    assert slack == {**SLACKS, "L": 0, "M": 4, "N": 0}
    drives = driving(tasks, days, dates, names.index("N"))[:, 0]
    assert "".join(np.array(list(names))[drives]) == "ABCEFJLN"
    variance = ((points[:, 2] - points[:, 0]) / 6) ** 2
    assert variance[drives].sum() == pytest.approx(9)


ARROWS = {
    "1-2": (7, 0, 7, 2, 9),
    "1-3": (10, 0, 10, 0, 10),
    "2-4": (6, 7, 13, 9, 15),
    "3-4": (5, 10, 15, 10, 15),
    "3-5": (4, 10, 14, 14, 18),
    "4-5": (3, 15, 18, 15, 18),
    "5-6": (2, 18, 20, 18, 20),
}
LARGER_ARROWS = {
    "1-2": (8, 0, 8, 1, 9),
    "1-3": (10, 0, 10, 0, 10),
    "1-4": (9, 0, 9, 6, 15),
    "2-5": (6, 8, 14, 9, 15),
    "2-6": (4, 8, 12, 16, 20),
    "3-5": (5, 10, 15, 10, 15),
    "4-5": (0, 9, 9, 15, 15),
    "4-7": (7, 9, 16, 20, 27),
    "5-7": (12, 15, 27, 15, 27),
    "5-8": (15, 15, 30, 16, 31),
    "6-9": (18, 12, 30, 20, 38),
    "7-8": (4, 27, 31, 27, 31),
    "8-9": (7, 31, 38, 31, 38),
}


@pytest.mark.parametrize("table", [ARROWS, LARGER_ARROWS])
def test_earliest_and_latest_dates_of_arrow_networks(table: dict[str, tuple[float, ...]]) -> None:
    arrows = list(table)
    arcs = tuple(
        Arc(before, after)
        for before, one in enumerate(arrows)
        for after, two in enumerate(arrows)
        if one.split("-")[1] == two.split("-")[0]
    )
    count = len(arrows)
    tasks = Network((False,) * count, arcs, (0.0,) * count, EVERY_DAY)
    days, *expected = np.array(list(table.values()), dtype=np.float64).T
    early = forward(tasks, days[:, None])
    late = backward(tasks, days[:, None], np.full((count, 1), early[1].max()))
    for found, printed in zip((*early, *late), expected, strict=True):
        assert found[:, 0] == pytest.approx(printed)


def test_advertising_firm_expects_20_50_and_21_50_and_19_50_days_on_its_three_paths() -> None:
    points = np.array(
        [
            *[(5, 6, 7), (6, 8, 11), (5, 6, 9)],
            *[(9, 12, 15), (5, 6, 7), (2, 3, 7)],
            *[(8, 8, 11), (4, 4, 5), (5, 7, 8)],
        ],
        dtype=np.float64,
    )
    means = pert_mean(*points.T).reshape(3, 3).sum(axis=1)
    assert means == pytest.approx([20.5, 21.5, 19.5], abs=0.005)


def test_sampled_durations_have_the_mean_of_the_three_points() -> None:
    """Malcolm et al. 1959: (a + 4 m + b) / 6."""
    share = (np.arange(20000)[None, :] + 0.5) / 20000
    low, likely, high = np.array([[5.0]]), np.array([[8.0]]), np.array([[17.0]])
    drawn = pert_quantile(share, low, likely, high)
    assert drawn.mean() == pytest.approx(9.0, abs=1e-3)
    assert 5 <= drawn.min() <= drawn.max() <= 17
