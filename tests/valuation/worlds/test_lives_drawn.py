"""How long work lasts and the machine stays, where nobody knows: the law of what is drawn."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest
from scipy.stats import kstest, spearmanr, triang

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import Futures, drawn_futures
from tests.valuation.worlds.streams import clock, growth_of

COUNT = 8192
LASTS = ((1.0, 2.0, 4.5), (0.5, 3.0, 3.5))
STAY = (2.0, 6.0, 7.0)
CHANCE = (0.2, 0.5, 0.9)
HORIZON, A_YEAR = 8, 4


def share_of(whole: np.ndarray, bounds: tuple[float, float, float]) -> tuple[Floats, Floats]:
    """Share of futures with each number of periods, drawn and by the triangular law."""
    low, likely, high = bounds
    law = triang((likely - low) / (high - low), low, high - low)
    numbers = np.arange(1, HORIZON * A_YEAR + 1)
    edges = np.append((numbers - 0.5) / A_YEAR, np.inf)
    edges[0] = -np.inf
    drawn = np.array([(whole == number).mean() for number in numbers])
    return drawn, np.diff(law.cdf(edges))


def futures(*, stay: tuple[float, float, float] | None = STAY, certain: bool = False) -> Futures:
    """Two streams whose chance and life are ranges, one of them certain if told."""
    growth = growth_of(chance=[0.5, 0.5], years=np.array([0.0, 1.0, 3.0]), lasts=12)
    lasts = (None if certain else np.array(LASTS[0]), np.array(LASTS[1]))
    made = replace(
        growth,
        lasts=lasts,
        stay=None if stay is None else np.array(stay),
        chances=(np.array(CHANCE), np.array(CHANCE)),
    )
    return drawn_futures(
        made, clock(HORIZON, A_YEAR), options=("a", "b"), count=COUNT, seed=3, use=0
    )


def test_lives_and_the_stay_follow_the_triangular_law_in_whole_periods() -> None:
    found = futures()
    for whole, bounds in zip([*found.life, found.stay], [*LASTS, STAY], strict=True):
        drawn, law = share_of(whole, bounds)
        assert drawn == pytest.approx(law, abs=1.5 / np.sqrt(COUNT))
        assert drawn.sum() == 1.0


def test_no_two_of_all_that_is_drawn_go_together() -> None:
    found = futures()
    rows = [*found.lots, *found.quantile, *found.shocks]
    for first, second in combinations(range(len(rows)), 2):
        together = np.corrcoef(rows[first], rows[second])[0, 1]
        assert abs(together) < 4.5 / np.sqrt(COUNT), (first, second)


def test_each_life_and_the_stay_hang_on_a_draw_of_their_own() -> None:
    found = futures()
    for own, whole in enumerate([*found.life, found.stay], start=2):
        alike = [spearmanr(whole, row).statistic for row in found.lots]
        assert alike[own] > 0.97
        assert sum(abs(each) > 0.05 for each in alike) == 1


def test_a_range_is_one_quantile_a_future_between_its_bounds() -> None:
    found = futures()
    for quantile in found.lots:
        assert kstest(quantile, "uniform").statistic < 2.0 / np.sqrt(COUNT)


def test_what_is_certain_beside_a_range_stays_certain() -> None:
    found = futures(certain=True, stay=None)
    assert (found.life[0] == 12).all()
    assert np.ptp(found.life[1]) > 0
    assert found.stay.size == 0
    assert (found.lots[2] == 0.5).all()
    assert np.array_equal(found.life[1], futures().life[1])  # no range changes another's draw
