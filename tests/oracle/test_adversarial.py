"""Cases that are hard to learn from: what was learned is never worse than the rule.

And the advice never worse than the best found by more than the gap it prints.
"""

import pytest

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from tests.oracle.adversarial import adversarial, wrong

SEEDS = range(12)
"""`tests/bench/test_corners.py` draws two hundred anew."""


@pytest.mark.parametrize("seed", SEEDS)
def test_what_has_to_hold_of_every_advice_holds_of_this(seed: int) -> None:
    assert wrong(adversarial(seed)) == []


@pytest.mark.parametrize("seed", SEEDS)
def test_the_gap_told_holds_whatever_else_could_be_ordered(seed: int) -> None:
    answer = advice(AdviceRequest(adversarial(seed), prove=True))
    proof = answer.proof
    assert proof is not None
    assert proof.gap >= -3 * proof.gap_se - 0.01
    for one in answer.packages:
        assert one.npc >= proof.bound - 3 * proof.bound_se
