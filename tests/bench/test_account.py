"""The account with the machine in it at full size: 4,096 futures one by one through the ledger."""

import numpy as np
import pytest

from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import read_case
from optioneer.study.account.account import account_study
from optioneer.study.account.bands import band
from optioneer.study.advice.package_choice import weighed_package
from optioneer.study.problem.futures import with_draws
from tests.study.account.test_account import apart_from_the_outcome, played
from tests.study.account.test_afford import TIGHT, all_packages, found_with, must_be_best


@pytest.mark.benchmark(group="account")
@pytest.mark.parametrize("name", ["mill-turn", "small-mill"])
def test_every_future_one_by_one_gives_the_same_bands(name: str) -> None:
    folder = next(one for one in demo_folders() if one.name == name)
    ordered, found = weighed_package(with_draws(read_case(folder), 4096))
    study = account_study(found, ordered)
    one_by_one = [played(study, found.case, number) for number in range(4096)]
    for plan in study.answer.plans:
        rows = np.array([each[plan.id] for each in one_by_one]).T
        assert [month.balance for month in plan.months] == [band(row) for row in rows[:-1]]
        assert plan.lowest == band(rows[-1])
    assert np.abs(apart_from_the_outcome(found, "best")).max() < 1.0


@pytest.mark.benchmark(group="account")
@pytest.mark.parametrize("opening", [-1e9, 260_000.0, TIGHT, 330_000.0, 420_000.0])
def test_of_all_packages_none_is_better_than_the_advised_one(opening: float) -> None:
    found = found_with(opening)
    must_be_best(found, all_packages(found))
