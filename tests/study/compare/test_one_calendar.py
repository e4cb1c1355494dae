"""Machines side by side on one calendar: a late machine is worse by what it does not earn."""

from datetime import date
from typing import Any

import numpy as np
import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.growth import Way
from optioneer.model.machine import Dates
from optioneer.study.advice.package import on_other_futures
from optioneer.study.compare.answers import Compared, RateTurn
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.compare.currencies import asked_exchange
from optioneer.study.worth.valued_case import valued_case
from tests.oracle.cases import between, case_of, certain, option, stream

PLAIN = {"discount_rate": 0.0, "futures": 64}
ALWAYS = (Way(options=()),)


def ordinary(margin: float = 50e3, share: float = 1.0, **more: Any) -> Case:
    """A machine with ordinary work from first chips on, done as it stands."""
    ways = (Way(options=(), share=share),)
    growth = {**PLAIN, **more.pop("growth", {})}
    return case_of([], [stream("daily", certain(0.0), margin, [], way=ways)], growth=growth, **more)


def named(case: Case, name: str, *, order: date = date(2027, 2, 1), days: int = 0) -> Case:
    first = date.fromordinal(order.toordinal() + days)
    dates = Dates(order=order, first_chips=first)
    return case.model_copy(update={"name": name, "dates": dates})


def beside(*cases: Case) -> dict[str, Compared]:
    told = comparison(
        ComparisonRequest(tuple(cases), packages=tuple([f"{case.name}: base" for case in cases]))
    )
    return {package.case: package for package in told.packages}


def test_a_machine_a_year_later_is_worse_by_a_year_of_ordinary_work() -> None:
    told = beside(named(ordinary(), "soon"), named(ordinary(), "late", days=365))
    assert told["late"].over_best == pytest.approx(50e3)
    assert told["soon"].chance_best == 1.0
    assert told["late"].outcome.mean == pytest.approx(told["soon"].outcome.mean - 50e3)


def test_the_first_period_counts_by_the_share_of_days_that_the_machine_is_there() -> None:
    told = beside(named(ordinary(), "soon"), named(ordinary(), "late", days=73))
    assert told["late"].over_best == pytest.approx(50e3 / 5)
    later = beside(named(ordinary(), "soon"), named(ordinary(), "late", days=365 + 73))
    assert later["late"].over_best == pytest.approx(50e3 * 1.2)


def test_of_two_that_differ_in_earnings_alone_the_one_that_earns_more_is_better() -> None:
    told = beside(named(ordinary(share=0.8), "slow"), named(ordinary(), "fast"))
    assert told["slow"].over_best == pytest.approx(5 * 10e3)


def test_upkeep_is_paid_while_the_machine_is_there_only() -> None:
    item = option("item", 0.0, standard=True, upkeep_per_year=2e3)
    case = case_of([item], [], growth=PLAIN)
    told = beside(named(case, "soon"), named(case, "late", days=365 + 73))
    assert told["late"].npc - told["soon"].npc == pytest.approx(-2e3 * 1.2)


def test_work_that_came_meanwhile_starts_when_the_machine_is_there() -> None:
    work = stream("work", certain(0.0), 30e3, [], way=ALWAYS, lasts_years=2.0)
    case = case_of([], [work], growth=PLAIN)
    told = beside(named(case, "soon"), named(case, "late", days=730))
    assert told["late"].over_best == pytest.approx(0.0)
    near_the_end = beside(named(case, "soon"), named(case, "late", days=4 * 365))
    assert near_the_end["late"].over_best == pytest.approx(30e3)


def test_at_the_common_end_the_late_machine_is_younger() -> None:
    case = case_of([], [], growth=PLAIN, resale_share=0.25)
    told = beside(named(case, "soon"), named(case, "late", days=365))
    assert told["soon"].npc == pytest.approx(100e3 - 25e3)
    assert told["late"].npc == pytest.approx(100e3 - 100e3 * 0.25 ** (4 / 5))


def test_money_is_told_at_the_earliest_order() -> None:
    case = case_of([], [], growth={"futures": 64})
    later = named(case, "later", order=date(2028, 2, 1))
    told = beside(named(case, "now"), later)
    assert told["now"].npc == pytest.approx(100e3)
    assert told["later"].npc == pytest.approx(100e3 / 1.1)
    assert told["later"].price == 100e3


def test_what_is_not_there_cannot_be_retrofitted() -> None:
    """Fitted a period after the machine comes at the earliest, working from the one after it."""
    tool = option("tool", 1e3, 1.0)
    case = case_of([tool], [stream("work", certain(0.0), 30e3, ["tool"])], growth=PLAIN)
    told = beside(named(case, "soon"), named(case, "late", days=730))
    assert told["soon"].npc == pytest.approx(100e3 + 1e3 + 2 * 30e3)
    assert told["late"].npc == pytest.approx(100e3 + 1e3 + 4 * 30e3)


def test_every_late_future_played_by_itself_costs_what_is_told() -> None:
    """Drivers, growth, lives and a swingless margin; draws as the first machine meets them."""
    ways = (Way(options=(), share=0.7),)
    about = {"way": ways, "growth": 0.05, "chance": 0.6, "drivers": {"series": 0.8}}
    works = [
        stream("a", between(0.2, 1.0, 4.0), 20e3, [], **about),
        stream("b", between(0.0, 2.0, 5.0), 40e3, [], **about, lasts_years=1.5),
    ]
    growth = {
        "periods_per_year": 2,
        "futures": 256,
        "discount_rate": 0.08,
        "driver": ({"id": "series"},),
    }
    case = case_of([option("unused", 5e3, 1.2)], works, growth=growth)
    soon, late = named(case, "soon", days=50), named(case, "late", days=50 + 430)
    told, found = beside(soon, late), on_other_futures(valued_case(soon))
    missed, dt, periods = 430 / 365 * 2, 0.5, 10
    whole = int(missed)
    total = np.full(256, 100e3)
    for k, work in enumerate(works):
        arrival, level = found.world.valued.arrival[k], found.world.valued.level[k]
        there = np.where(arrival < periods, np.maximum(arrival, whole), periods)
        life = 3 if k == 1 else periods
        for t in range(periods):
            paid = 1.08 ** -(50 / 365 + (t + 0.5) * dt) * dt * 1.05 ** (t * dt)
            came = (arrival <= t) & (t < arrival + life)
            works_now = (there <= t) & (t < there + life)
            share = 0.0 if t < whole else 1.0 - (missed - whole) if t == whole else 1.0
            total += paid * level * (came - work.way[0].share * share * works_now)
    assert told["late"].npc == pytest.approx(total.mean(), abs=0.01)


def test_a_machine_that_comes_after_the_end_is_refused() -> None:
    with pytest.raises(RequestError, match=r"late: first chips on 2032-01-31 .* before the end"):
        beside(named(ordinary(), "soon"), named(ordinary(), "late", days=5 * 365))


def test_machines_of_one_day_cost_what_they_cost_alone() -> None:
    told = beside(named(ordinary(), "one"), named(ordinary(), "two"))
    assert (
        told["one"].npc == told["two"].npc == valued_case(named(ordinary(), "one")).cost(()).mean()
    )


def test_a_mill_with_54_weeks_of_building_is_not_better_than_the_same_with_two() -> None:
    quick = named(ordinary(40e3, growth={"discount_rate": 0.08}), "quick", days=14)
    slow = named(ordinary(40e3, growth={"discount_rate": 0.08}), "slow", days=54 * 7)
    told = beside(quick, slow)
    assert told["quick"].chance_best == 1.0
    # a year of earnings less a year's discount on the price that both pay at the order: none
    assert told["slow"].over_best == pytest.approx(40e3 * 52 / 52.14, rel=0.06)


def turn_of_a_foreign_quote(price: float) -> RateTurn:
    """A machine of 100,000 here against one of `price` euros there, at 1.1."""
    here, there = named(ordinary(), "here"), named(ordinary(base_price=price), "there")
    machine = there.machine.model_copy(update={"currency": "EUR"})
    exchange = asked_exchange(["EUR=1.1"], day="2026-11-20", currency="USD")
    foreign = there.model_copy(update={"machine": machine})
    (turn,) = comparison(ComparisonRequest((here, foreign), exchange=exchange)).rate_turns
    return turn


def test_the_better_quote_changes_at_the_rate_at_which_both_cost_the_same() -> None:
    turn = turn_of_a_foreign_quote(80e3)
    assert (turn.currency, turn.rate) == ("EUR", 1.1)
    assert turn.turns_at == pytest.approx(1.25, rel=0.005)


def test_a_ranking_that_no_likely_rate_turns_says_so() -> None:
    assert turn_of_a_foreign_quote(10e3).turns_at is None


def test_without_foreign_quotes_there_is_no_rate_to_turn() -> None:
    cases = (named(ordinary(), "one"), named(ordinary(), "two"))
    assert comparison(ComparisonRequest(cases)).rate_turns == ()
