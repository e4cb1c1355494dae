"""A limit of time holds whatever is asked, and fewer futures never take longer."""

from types import SimpleNamespace
from typing import Any

import pytest

from optioneer.errors import RequestError
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import SWEPT_A_SECOND, most_swept
from optioneer.study.problem.effort import Effort, effort_of, share_of
from optioneer.study.worth import valued_case as valued_case_module
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.large.short_list import Listed
from tests.many_options import many_options
from tests.oracle.cases import case_of, option


def searched(futures: int, seconds: float | None) -> bool:
    """Whether sixteen options tied together are searched instead of valued one and all."""
    case = many_options(16, 8, futures=futures)
    return any(isinstance(each, Listed) for each in problem_of(case, seconds=seconds).lattices)


def test_sixteen_options_at_1024_futures_are_searched_under_a_limit_as_at_4096() -> None:
    assert not searched(1024, None)
    assert searched(1024, 10.0)
    assert searched(4096, 10.0)


def test_few_futures_that_fit_into_the_limit_are_valued_in_full() -> None:
    assert not searched(16, 10.0)


@pytest.mark.parametrize("seconds", [0.5, 5.0, 40.0])
@pytest.mark.parametrize("futures", [16, 64, 256, 1024, 4096])
def test_what_is_valued_in_full_is_no_more_than_fits_into_the_limit(
    futures: int, seconds: float
) -> None:
    case = many_options(16, 8, futures=futures)
    assert most_swept(case, seconds) * case.growth.periods <= SWEPT_A_SECOND * seconds
    assert most_swept(case, seconds) <= most_swept(case, None)


def test_a_search_in_place_of_the_sweep_says_so_and_keeps_its_bound() -> None:
    case = many_options(16, 8, futures=64)
    found = valued_case(case, effort=effort_of(0.5))
    assert found.searches


def test_several_valuations_share_the_limit() -> None:
    assert share_of(10.0, 4) == 2.5
    assert share_of(None, 4) is None
    with pytest.raises(RequestError, match=r"--time-limit -1 is not above 0"):
        share_of(-1.0, 4)


def test_what_comes_before_a_search_is_taken_off_its_time_but_for_a_quarter() -> None:
    assert Effort(seconds=10.0).after(4.0).seconds == 6.0
    assert Effort(seconds=10.0).after(60.0).seconds == 2.5


def test_what_sweeping_takes_is_taken_off_the_time_of_the_searches(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    clock = iter([100.0, 103.0])
    monkeypatch.setattr(valued_case_module, "time", SimpleNamespace(monotonic=lambda: next(clock)))
    left: list[float] = []

    def searches(*given: Any) -> dict[int, Any]:
        left.append(given[3].seconds)
        return {}

    monkeypatch.setattr(valued_case_module, "_searches", searches)
    valued_case(case_of([option("a", 1e3)], []), effort=effort_of(10.0))
    assert left == [7.0]
