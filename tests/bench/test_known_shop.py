"""Played against shops whose figures are known: what is left to lose after so many questions.

Printed: mean excess of the order over the best one, in percent of its price, by questions asked,
chosen by what their answers are worth and at random.
"""

import sys

import numpy as np

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.problem.futures import with_draws
from tests.known_shop import Hidden, at_random, curve, invented_shop, worth_most

SHOPS, QUESTIONS = 10, 14


def test_chosen_questions_leave_little_and_random_ones_twice_as_much() -> None:
    chosen, random = [], []
    for seed in range(SHOPS):
        hidden = Hidden.of(invented_shop(seed, futures=256))
        guess = hidden.guessed(seed)
        chosen.append(curve(hidden, guess, worth_most, QUESTIONS))
        random.append(curve(hidden, guess, at_random(hidden, seed), QUESTIONS))
    means = [np.mean(curves, axis=0) for curves in (chosen, random)]
    for name, mean in zip(("chosen", "random"), means, strict=True):
        sys.stdout.write(f"\n{name}: {' '.join(f'{100 * x:.2f}' for x in mean)}")
    assert means[0][-1] <= 0.01
    assert means[1][-1] >= 2.0 * means[0][-1]


def test_a_demo_whose_figures_are_hidden_is_ordered_within_a_hundredth() -> None:
    """The small mill guessed twice, at most 30 questions; the curves are printed."""
    truth = with_draws(read_case(demo_folder("small-mill")), 256)
    hidden = Hidden.of(truth)
    for seed in (1, 2):
        found = curve(hidden, hidden.guessed(seed), worth_most, 30)
        sys.stdout.write(f"\nsmall-mill {seed}: {' '.join(f'{100 * x:.2f}' for x in found)}")
        assert found[-1] <= 0.01
