from collections.abc import Iterable
from itertools import combinations

import pytest

from optioneer.model.machine import Package
from optioneer.study.ready.ready import readiness
from optioneer.study.ready.spending import worth_at_order
from optioneer.study.ready.step_costs import SiteStep, site_steps, unpriced_kinds
from tests.study.ready.sites import OPTIONS, POWER, case, transformer

TERMS = {
    "supplier": [{"id": "wholesale", "deposit": 0.25, "net_days": 30}],
    "plan": {"runs": 100},
    "supply": [
        transformer(size, price, supplier="wholesale", later_downtime_days=2.0, install=500.0)
        for size, price in [(75, 5000), (112.5, 8000), (150, 12000)]
    ],
}


def now(step: SiteStep, options: Iterable[str]) -> float:
    """Site cost at the order of a set of options, beyond what every package pays."""
    return step.levels[step.level(step.total(options))].now - step.levels[0].now


def test_levels_are_those_that_some_package_reaches() -> None:
    (step,) = site_steps(case({**POWER, **TERMS}))
    assert dict(step.uses) == {"pump": 8, "chiller": 6, "loader": 4}
    assert [level.supply for level in step.levels] == ["transformer-75", "transformer-112-5"]
    assert [level.room for level in step.levels] == [pytest.approx(10), float("inf")]
    assert step.levels[1].later == 8500
    assert step.levels[1].downtime == 2000


def test_a_step_shared_by_options_is_paid_once_by_whoever_tips_it() -> None:
    given = case({**POWER, **TERMS})
    (step,) = site_steps(given)
    extra = step.levels[1].now - step.levels[0].now
    assert extra > 2500
    for count in range(len(OPTIONS) + 1):
        for chosen in combinations([name for name, _, _ in OPTIONS], count):
            tips = sum(kva for name, kva, _ in OPTIONS if name in chosen) > 10
            assert now(step, chosen) == pytest.approx(extra if tips else 0)


def test_plan_and_cash_move_by_what_the_step_costs() -> None:
    given = case({**POWER, **TERMS})
    small, large = (
        readiness(given, Package(id="asked", options=options))
        for options in (("pump",), ("pump", "loader"))
    )
    assert large.purchases_cents - small.purchases_cents == 300_000
    assert sum(p.cents for p in small.payments) - sum(p.cents for p in large.payments) == 300_000
    worth = [worth_at_order(given, a.payments, 0.08) for a in (small, large)]
    (step,) = site_steps(given)
    costs = [now(step, a.options) for a in (small, large)]
    assert costs[1] - costs[0] == pytest.approx(worth[1] - worth[0], abs=1e-6)


def test_a_transformer_that_comes_too_late_costs_the_margin_of_the_days_lost() -> None:
    late = transformer(112.5, 5000, lead_days=(300.0, 300.0, 300.0))
    slow = {**TERMS, "supply": [transformer(75, 5000), late]}
    (step,) = site_steps(case({**POWER, **slow}))
    assert step.levels[0].now < 5000
    assert step.levels[1].now > 5000 + 60 * 1000


def test_no_step_where_every_package_buys_the_same() -> None:
    assert site_steps(case({**POWER, "supply": [transformer(150, 12000)]})) == ()


def test_a_level_without_price_is_no_step_and_is_told() -> None:
    given = case({**POWER, "supply": [transformer(75, 5000)]})
    assert site_steps(given) == ()
    assert unpriced_kinds(given) == ("transformer",)


def test_a_case_without_a_site_has_no_steps() -> None:
    assert site_steps(case(POWER).model_copy(update={"site": None})) == ()
