"""The prices of the negotiation sheet, on both demos in full: every verdict turns where it says."""

import pytest

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.study.problem.futures import with_draws
from tests.bargains import turned_as_told


@pytest.mark.parametrize(("demo", "futures"), [("small-mill", 4096), ("mill-turn", 1024)])
def test_just_above_and_below_each_price_the_verdict_turns(demo: str, futures: int) -> None:
    turning = turned_as_told(with_draws(read_case(demo_folder(demo)), futures))
    assert len(turning) > 10
