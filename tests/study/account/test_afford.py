"""Retrofits where the account can pay: ample cash changes nothing, with none nothing is fitted."""

from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from optioneer.reports.cash.account import account_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.account.account import account_study
from optioneer.study.account.afford import Afforded, affordable, afforded
from optioneer.study.advice.package import journeys_of
from optioneer.study.advice.package_choice import named_package
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued, valued
from tests.paying_cases import BANK, MINE, case

FUTURES = 64
TAX = {"rate": 0.25, "depreciation": "macrs-7"}


def found_with(opening: float, **facts: Any) -> Valued:
    asked = case({**MINE, "stages": ({"share": 1.0, "when": "order"},)}, **facts)
    account = asked.paying.account.model_copy(update={"opening": opening})  # type: ignore[union-attr] # told
    paying = asked.paying.model_copy(update={"account": account})  # type: ignore[union-attr] # told
    return valued(with_draws(asked.model_copy(update={"paying": paying}), FUTURES))


def played(opening: float, **facts: Any) -> tuple[Valued, Afforded]:
    found = found_with(opening, **facts)
    return found, afforded(found, named_package(found.case, "base"), [])


@pytest.mark.parametrize("facts", [{}, {"income_tax": TAX}])
def test_with_ample_cash_nothing_changes(facts: dict[str, Any]) -> None:
    found, rich = played(1e9, **facts)
    assert rich.any_refused == 0.0
    states = states_of(found, named_package(found.case, "base"))
    for own, free in zip(rich.journeys, journeys_of(found, states), strict=True):
        assert np.array_equal(own.fitted_in, free.fitted_in)
        assert own.cost == pytest.approx(free.cost)
    assert rich.cost == pytest.approx(found.cost(states))


def test_with_no_cash_nothing_is_ever_fitted() -> None:
    found, poor = played(-1e9)
    periods = found.problem.timeline.periods
    assert all((journey.fitted_in == periods).all() for journey in poor.journeys)
    assert poor.any_refused > 0.0


def test_the_more_is_in_the_account_the_less_it_costs_and_the_less_is_refused() -> None:
    told = [played(opening)[1] for opening in (-1e9, -50_000.0, 0.0, 30_000.0, 100_000.0, 1e9)]
    for less, more in pairwise(told):
        assert more.cost.mean() <= less.cost.mean() + 1e-6
        assert more.any_refused <= less.any_refused


def test_what_could_not_be_paid_is_told_and_what_to_order_now() -> None:
    found = found_with(20_000.0)
    package = named_package(found.case, "base")
    told = affordable(found, package, "own", [])
    assert 0.0 < told.refused < 1.0
    assert told.costs >= 0.0
    held = afforded(found, package, [])
    assert told.refused == held.any_refused
    assert told.options
    for one in told.options:
        assert one.option not in package.options
        assert 0.0 <= one.refused <= told.refused
    rich = affordable(found_with(1e9), package, "own", [])
    assert (rich.refused, rich.options) == (0.0, ())
    assert rich.costs == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("told", ["free", "account", "loan"])
def test_the_account_says_so_only_where_it_is_asked(told: str) -> None:
    asked = case(BANK, account={"opening": 40_000.0, "retrofits": told})
    found = valued(with_draws(asked, FUTURES))
    study = account_study(found, named_package(found.case, "base"))
    assert bool(study.answer.affordable) == (told == "account")
    page = terminal_text(account_page(study.answer, "Mill", Figures("USD")), width=200)
    assert ("could not be paid when it is wanted" in page) == (told == "account")
    lent = len([flow for flow in study.plans[0].flows if flow.kind == "retrofit"])
    assert (lent > 60) == (told == "loan")
