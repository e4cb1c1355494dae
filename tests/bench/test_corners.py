"""Corners of the valuation at length: intervals over 200 seeds, 200 random cases drawn anew.

`pytest -n0 -s tests/bench/test_corners.py`: some minutes.
"""

import secrets

import numpy as np
import pytest

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from tests.oracle.adversarial import adversarial, missed
from tests.study.advice.coverage import CASES, coverage, trials

SEEDS = 200


@pytest.mark.parametrize("name", CASES)
def test_intervals_of_the_advised_package_hold_what_is_true(name: str) -> None:
    """93 to 97 %: two standard deviations of 200 trials leave 92 to 98."""
    share = coverage(trials(name, range(SEEDS)))
    assert 0.92 <= share <= 0.98, f"{name}: {share:.1%} of {SEEDS}"


def test_two_hundred_random_cases_drawn_anew() -> None:
    """Every figure a number, no state worse than the rule, every call as its errors and gap say."""
    root = secrets.randbits(32)
    worst = []
    for seed in range(root, root + SEEDS):
        case = adversarial(seed)
        answer = advice(AdviceRequest(case, prove=True))
        told = [answer.advised.npc, answer.advised.npc_se, answer.advised.outcome.p90]
        assert np.isfinite(told).all(), f"seed {seed}"
        worst.append((missed(case), seed))
    assert max(worst)[0] <= 4.5, f"paired errors beyond the rule, and seed: {sorted(worst)[-3:]}"
