"""Among packages that cost the same the one that costs less now is advised."""

import pytest

from optioneer.model.case import Case
from optioneer.study.worth.best_package import EQUAL, best_package
from optioneer.study.worth.valued_case import valued_case
from tests.oracle.cases import case_of, certain, option, stream

UNDISCOUNTED = {"discount_rate": 0.0, "horizon_years": 2.0}


def magazines(*, large_back: float, small_back: float) -> Case:
    """Two magazines for the same work; what is paid for them comes back in part, undiscounted.

    The large one, dearer by 4,000, is the first of the slot.
    """
    large = option("large", 10e3, slot="magazine", resale_share=large_back)
    small = option("small", 6e3, slot="magazine", resale_share=small_back)
    work = stream("work", certain(0.0), 9e3, ["large"])
    way = work.way[0].model_copy(update={"options": ("small",)})
    works = work.model_copy(update={"way": (*work.way, way)})
    return case_of([large, small], [works], growth=UNDISCOUNTED)


def ordered(case: Case) -> tuple[str, ...]:
    found = valued_case(case)
    return found.options(best_package(found))


def test_of_two_that_cost_the_same_the_one_that_costs_less_now_is_ordered() -> None:
    assert ordered(magazines(large_back=1.0, small_back=1.0)) == ("small",)


def test_money_that_all_comes_back_is_not_spent_for_nothing() -> None:
    idle = option("idle", 5e3, resale_share=1.0)
    case = case_of([idle], [stream("work", certain(0.0), 9e3, [])], growth=UNDISCOUNTED)
    assert ordered(case) == ()


@pytest.mark.parametrize("more", [2.0, 40.0])
def test_what_is_dearer_now_is_ordered_where_it_costs_less_in_all(more: float) -> None:
    """Less back of the small one by `more` cents."""
    case = magazines(large_back=1.0, small_back=1.0 - more * EQUAL / 6e3)
    assert ordered(case) == ("large",)
