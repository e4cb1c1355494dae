"""Words for when to order what waits, on both demos in full, against the policy behind the advice.

Printed: what going by the words costs, and what never fitting anything would.
"""

import sys

import pytest

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.acting.acting import ActingRequest, acting


@pytest.mark.parametrize("demo", ["small-mill", "mill-turn"])
def test_words_cost_at_most_a_hundredth_more_than_the_policy(demo: str) -> None:
    answer = acting(ActingRequest(read_case(demo_folder(demo))))
    sys.stdout.write(
        f"\n{demo}: {answer.costs:.0f} +- {answer.costs_se:.0f}, {100 * answer.share:.3f} % of "
        f"{answer.npc:.0f}; never: {answer.never_costs:.0f}"
    )
    unsaid = [one for one in answer.conditions if not one.said]
    assert answer.share <= 0.01
    assert answer.costs <= 0.1 * answer.never_costs
    assert all(one.chance < 0.05 for one in unsaid)
