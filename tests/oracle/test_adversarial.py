"""Cases that are hard to learn from: what was learned is never worse than the rule.

And the advice never worse than the best found by more than the gap it prints.
"""

import numpy as np
import pytest

from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.clusters import clusters
from tests.oracle.adversarial import adversarial, missed

SEEDS = range(12)
"""`tests/bench/test_corners.py` draws two hundred anew."""


@pytest.mark.parametrize("seed", SEEDS)
def test_no_package_costs_more_as_learned_than_under_the_rule(seed: int) -> None:
    assert missed(adversarial(seed)) <= 4.0


@pytest.mark.parametrize("seed", SEEDS)
def test_the_gap_told_holds_whatever_else_could_be_ordered(seed: int) -> None:
    answer = advice(AdviceRequest(adversarial(seed), prove=True))
    proof = answer.proof
    assert proof is not None
    assert np.isfinite([answer.advised.npc, answer.advised.npc_se, proof.bound]).all()
    assert proof.gap >= -3 * proof.gap_se - 0.01
    for one in answer.packages:
        assert one.npc >= proof.bound - 3 * proof.bound_se
    alone = len(clusters(adversarial(seed))) == 1  # else each choice hangs on its own part
    for option in answer.options if alone else ():
        assert option.otherwise is None or option.close_call or abs(option.otherwise) >= proof.gap
