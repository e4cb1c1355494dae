"""The account of the likeliest future, added up again line by line with a pocket calculator."""

import math
from collections.abc import Callable, Iterator
from itertools import product
from pathlib import Path

import numpy as np
import pytest

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.machine import Package
from optioneer.study.papers.likeliest_account import BOUGHT, LikeliestAccount, likeliest_account
from optioneer.study.problem import clusters
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.cases_as_texts import few, mill, read
from tests.hours import short_of_hours
from tests.oracle.cases import CASES, case_of, certain, option, stream
from tests.paying_cases import MINE, paying

DEMOS = Path(__file__).parents[3] / "catalogs_demo"
DEMO_NAMES = ("small-mill", "mill-turn")


def small(case: Case, **changes: float) -> Case:
    growth = case.growth.model_copy(update={"futures": 16, **changes})
    return case.model_copy(update={"growth": growth})


def kept_periods(case: Case) -> int:
    """Whole periods that the machine most likely stays."""
    kept, growth = case.machine.kept_years, case.growth
    if kept is None:
        return growth.periods
    years = kept.likely if isinstance(kept, Triangular) else kept
    return min(math.floor(years * growth.periods_per_year + 0.5), growth.periods)


def added_up(case: Case, account: LikeliestAccount) -> float:
    """Money out less money in, each line at its own date (nothing of the engine is used)."""
    growth, lead = case.growth, case.dates.lead_years
    step, periods = 1 / growth.periods_per_year, kept_periods(case)

    tax = case.paying.income_tax if case.paying else None
    rate = growth.discount_rate * (1 - (tax.rate if tax else 0.0))

    def worth(years: float) -> float:
        return float((1 + rate) ** -years)

    def dearer(years: float) -> float:
        return float((1 + growth.retrofit_inflation) ** years)

    total = account.order_factor * (account.base_price + account.beyond) + account.site
    for fitting in account.fittings:
        at = lead + fitting.period * step
        price = (
            account.retrofit_factors[fitting.period]
            * fitting.price
            * fitting.multiplier
            * dearer(at)
        )
        total += worth(at) * (price + fitting.downtime_days * account.margin_per_day)
    for visit in account.visits:
        at = lead + visit.period * step
        total += worth(at) * account.retrofit_factors[visit.period] * visit.charge * dearer(at)
    for period in range(periods):
        lost = sum(
            work.margin * (1 + work.growth) ** (period * step) * (1 - work.earned[period])
            for work in account.work
            if work.arrival <= period < work.end
        )
        middle = lead + (period + 0.5) * step
        total += worth(middle) * step * (account.upkeep[period] + lost)
    return total - worth(lead + periods * step) * (account.base_resale + account.resale)


def packages(found: Valued) -> Iterator[Package]:
    """Every package that can be ordered."""
    rows = found.case.catalogue.options
    orderable = [np.flatnonzero(cost.lattice.orderable) for cost in found.costs]
    for states in product(*orderable):
        held = {
            found.problem.options[option]
            for cost, state in zip(found.costs, states, strict=True)
            for option in cost.lattice.options(int(state))
        }
        yield Package(
            id="tried",
            options=tuple(o.option for o in rows if o.option in held and not o.standard),
            without=tuple(o.option for o in rows if o.option not in held and o.standard),
        )


@pytest.mark.parametrize("made", CASES.values(), ids=CASES)
@pytest.mark.parametrize("inflation", [0.0, 0.05])
def test_every_package_adds_up(made: Callable[[], Case], inflation: float) -> None:
    found = valued_case(small(made(), retrofit_inflation=inflation))
    for package in packages(found):
        account = likeliest_account(found, package)
        assert added_up(found.case, account) == pytest.approx(account.npc, abs=0.01)


@pytest.mark.parametrize("demo", DEMO_NAMES)
def test_the_packages_of_the_demos_add_up(demo: str) -> None:
    case = with_draws(read_case(DEMOS / demo), 64)
    found = valued_case(case)
    for package in (*case.packages, Package(id="base")):
        account = likeliest_account(found, package)
        assert added_up(found.case, account) == pytest.approx(account.npc, abs=0.01)


def test_what_is_fitted_earns_from_the_next_period_on() -> None:
    """Work that is certain in the middle of year three: the probe is fitted a year before."""
    case = small(CASES["anticipation"]())
    account = likeliest_account(valued_case(case), Package(id="base"))
    (fitting,) = account.fittings
    (work,) = account.work
    assert (fitting.period, work.arrival, work.end) == (1, 2, 5)
    assert work.earned == (0.0, 0.0, 1.0, 1.0, 1.0)
    assert account.upkeep == (0.0, 0.0, 500.0, 500.0, 500.0)
    assert np.isclose(fitting.multiplier, 1.02)


@pytest.mark.parametrize("together", [0, 4096])
@pytest.mark.parametrize("beyond", [None, 20.0])
def test_the_packages_of_a_shop_short_of_hours_add_up(
    monkeypatch: pytest.MonkeyPatch, together: int, beyond: float | None
) -> None:
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", together)
    short = short_of_hours(read(few(mill())).case, attended=1400.0, beyond=beyond)
    case = with_draws(short, 64)
    found = valued_case(case)
    assert found.problem.together == bool(together)
    bought = []
    for package in (*case.packages, Package(id="base")):
        account = likeliest_account(found, package)
        assert added_up(found.case, account) == pytest.approx(account.npc, abs=0.01)
        bought += [work for work in account.work if work.stream == BOUGHT]
    assert bool(bought) == (beyond is not None)


@pytest.mark.parametrize("rate", [0.0, 0.25])
def test_after_income_tax_they_add_up_too(rate: float) -> None:
    """A retrofit that takes days, a machine and an option of which some comes back."""
    probe = option("probe", 20e3, 1.02, downtime_days=3.0, resale_share=0.2, upkeep_per_year=500.0)
    work = stream("work", certain(2.5), 25e3, ["probe"])
    case = small(case_of([probe], [work], resale_share=0.25))
    plan = {**MINE, "stages": ({"share": 1.0, "when": "order"},)}
    facts = paying(plan, income_tax={"rate": rate, "depreciation": "macrs-7"}, use="own")
    found = valued_case(case.model_copy(update={"paying": facts}))
    fitted = set[str]()
    for package in packages(found):
        account = likeliest_account(found, package)
        assert added_up(found.case, account) == pytest.approx(account.npc, abs=0.01)
        fitted |= {one.option for one in account.fittings}
    assert fitted == {"probe"}
