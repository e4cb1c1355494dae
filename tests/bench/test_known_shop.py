"""Played against shops whose figures are known: what is left to lose after so many questions.

Printed: excess of the order over the best one, in percent of its price, by questions asked, chosen
by what their answers are worth and at random; each shop is asked as much one way as the other.
"""

import sys

import numpy as np
import pytest

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.problem.futures import with_draws
from tests.known_shop import Hidden, at_random, invented_shop, played, quickly, worth_most

SHOPS, MOST, DEMO_MOST = 10, 23, 30


def test_chosen_questions_leave_little_and_random_ones_twice_as_much() -> None:
    chosen, random = [], []
    for seed in range(SHOPS):
        hidden = Hidden.of(invented_shop(seed, futures=256))
        guess = hidden.guessed(seed)
        one, other = played(hidden, guess, worth_most, at_random(hidden, seed), MOST)
        written(f"shop {seed}", one, other)
        chosen.append(one[-1])
        random.append(other[-1])
    assert max(chosen) <= 0.01
    assert np.mean(random) >= 2.0 * np.mean(chosen)


@pytest.mark.parametrize(("demo", "futures"), [("small-mill", 256), ("mill-turn", 128)])
def test_a_demo_whose_figures_are_hidden_is_ordered_within_a_hundredth(
    demo: str, futures: int
) -> None:
    """At most 30 questions; the mill-turn on few futures, for it is valued anew after each."""
    hidden = Hidden.of(with_draws(read_case(demo_folder(demo)), futures))
    one, other = played(hidden, hidden.guessed(1), quickly, at_random(hidden, 1), DEMO_MOST)
    written(demo, one, other)
    assert one[-1] <= 0.01
    assert other[-1] >= 2.0 * one[-1]


def written(name: str, *curves: list[float]) -> None:
    for kind, curve in zip(("chosen", "random"), curves, strict=True):
        sys.stdout.write(f"\n{name}, {kind}: {' '.join(f'{100 * x:.2f}' for x in curve)}")
