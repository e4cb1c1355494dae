"""The same case on other draws."""

import pytest

from optioneer.errors import RequestError
from optioneer.study.problem.futures import with_draws
from tests import shop


def test_only_what_is_asked_for_changes() -> None:
    case = shop.case()
    changed = with_draws(case, futures=512)
    assert changed.growth == case.growth.model_copy(update={"futures": 512})
    assert with_draws(case, seed=0).growth.seed == 0
    assert with_draws(case) == case


def test_a_number_that_is_not_allowed_is_the_users_mistake() -> None:
    with pytest.raises(RequestError, match=r"futures: 3 is not allowed.*16"):
        with_draws(shop.case(), futures=3)
    with pytest.raises(RequestError, match=r"seed: -1 is not allowed"):
        with_draws(shop.case(), seed=-1)
