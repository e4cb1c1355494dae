"""The site's step costs in the advice: against plan and cash, and against brute force."""

from datetime import date
from itertools import chain, combinations
from typing import Any

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Growth, Stream, Way
from optioneer.model.machine import Package
from optioneer.study.advice.advice import advice
from optioneer.study.advice.package import package_answer
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.cash.cash import cash
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.ready.ready import readiness
from optioneer.study.ready.spending import worth_at_order
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.paying_cases import paying
from tests.study.ready.sites import OPTIONS, POWER, case, transformer

NAMES = [name for name, _, _ in OPTIONS]
SITE: dict[str, Any] = {
    **POWER,
    "supply": [
        transformer(75, 5000, supplier="wholesale"),
        transformer(112.5, 9000, supplier="wholesale", later_downtime_days=2.0),
    ],
    "supplier": [{"id": "wholesale", "deposit": 0.25, "net_days": 30}],
    "plan": {"runs": 100},
}


STAGED = {
    "id": "staged",
    "kind": "staged",
    "stages": [{"share": 0.5, "when": "order"}, {"share": 0.5, "when": "delivery"}],
}


def earning(site: dict[str, Any], *, later: bool = False, **margins: float) -> Case:
    """The small case; each option serves a certain stream of its own from the first day."""
    bare = case(site)
    again = {"fitting": "retrofittable", "multiplier": Triangular(low=1, likely=1, high=1)}
    options = [
        Option.model_validate({**option.model_dump(), "call_out": None, **(again if later else {})})
        for option in bare.catalogue.options
    ]
    now = Triangular(low=0, likely=0, high=0) if not later else Triangular(low=2, likely=2, high=2)
    streams = [
        Stream(
            id=f"{name}-work",
            chance=1.0,
            years=now,
            margin=Triangular(low=margin, likely=margin, high=margin),
            way=(Way(options=(name,)),),
        )
        for name, margin in margins.items()
    ]
    growth = Growth(horizon_years=5, discount_rate=0.08, futures=64, stream=tuple(streams))
    catalogue = Catalogue(options=tuple(options))
    return bare.model_copy(update={"growth": growth, "catalogue": catalogue})


def packages() -> list[Package]:
    sets = chain.from_iterable(combinations(NAMES, count) for count in range(len(NAMES) + 1))
    return [Package(id="asked", options=options) for options in sets]


def npc(found: Valued, package: Package) -> float:
    return float(found.cost(states_of(found, package)).mean())


def test_a_bigger_transformer_moves_advice_plan_and_cash_by_the_same_amount() -> None:
    """The pump alone fits on 75 kVA; with the loader the package needs 112.5."""
    given = earning(SITE)
    bare = valued_case(
        given.model_copy(update={"site": None, "dates": with_first_chips(given).dates})
    )
    found = valued_case(given)
    small, large = (Package(id="x", options=o) for o in (("pump",), ("pump", "loader")))
    advised = npc(found, large) - npc(found, small) - (npc(bare, large) - npc(bare, small))
    plans = [readiness(given, package) for package in (small, large)]
    shopping = plans[1].purchases_cents - plans[0].purchases_cents
    paid = sum(p.cents for p in plans[0].payments) - sum(p.cents for p in plans[1].payments)
    worth = [worth_at_order(given, plan.payments, 0.08) for plan in plans]
    account = given.model_copy(update={"paying": paying(STAGED)})
    ledgers = [cash(account, package).answer.plans[0] for package in (small, large)]
    booked = [sum(e.cents for e in ledger.entries if e.kind == "site") for ledger in ledgers]
    assert shopping == paid == booked[0] - booked[1] == 400_000
    assert advised == pytest.approx(worth[1] - worth[0], abs=1e-6)
    assert 3500 < advised < 4000


@pytest.mark.parametrize("loader", [200.0, 600.0, 900.0, 1150.0, 1250.0, 1500.0, 4000.0])
def test_the_advised_package_is_the_best_of_all(loader: float) -> None:
    """Alone neither pump nor loader need be worth the step, together they may."""
    given = earning(SITE, pump=1500.0, loader=loader, chiller=1600.0)
    found = valued_case(given)
    costs = {package.options: npc(found, package) for package in packages()}
    answer = advice(AdviceRequest(given))
    assert answer.advised.npc == pytest.approx(min(costs.values()))
    assert costs[tuple(o for o in NAMES if o in answer.advised.options)] == pytest.approx(
        min(costs.values())
    )


@pytest.mark.parametrize("loader", [2000.0, 3500.0, 30_000.0])
@pytest.mark.parametrize("later", [1.0, 4.0])
def test_so_it_is_when_a_retrofit_may_outgrow_what_the_order_buys(
    loader: float, later: float
) -> None:
    """A transformer bought later costs so many times as much."""
    supplies = [SITE["supply"][0], {**SITE["supply"][1], "later": later}]
    site = {**SITE, "supply": supplies, "plan": {"runs": 100, "reserve_for": ()}}
    given = earning(site, later=True, pump=2500.0, loader=loader, chiller=1600.0)
    found = valued_case(given)
    costs = {package.options: npc(found, package) for package in packages()}
    assert advice(AdviceRequest(given)).advised.npc == pytest.approx(min(costs.values()), abs=1e-6)


@pytest.mark.parametrize(
    ("margin", "prepared"), [(600.0, 300.0), (900.0, 700.0), (1500.0, 1500.0), (2500.0, 3000.0)]
)
def test_what_eases_a_retrofit_also_makes_its_bill_likelier(margin: float, prepared: float) -> None:
    """Left out, the loader is not fitted: dearer without the transformer, cheaper with it."""
    given = earning(SITE, later=True, loader=margin)
    dear, cheap = (Triangular(low=m, likely=m, high=m) for m in (9.0, 1.0))
    loader = next(o for o in given.catalogue.options if o.option == "loader").model_copy(
        update={"kva": 20.0, "multiplier": dear, "eased_by": "light", "eased": cheap}
    )
    options = tuple(
        loader
        if o.option == "loader"
        else o.model_copy(update={"price": prepared, "fitting": "factory-only", "multiplier": None})
        if o.option == "light"
        else o
        for o in given.catalogue.options
    )
    found = valued_case(given.model_copy(update={"catalogue": Catalogue(options=options)}))
    costs = {package.options: npc(found, package) for package in packages()}
    assert float(found.cost(best_package(found)).mean()) == pytest.approx(min(costs.values()))


def test_what_the_other_choice_costs_includes_the_step() -> None:
    given = earning(SITE, pump=1500.0, loader=4000.0, chiller=1600.0)
    found = valued_case(given)
    best = min(npc(found, package) for package in packages())
    for answer in advice(AdviceRequest(given)).options:
        ordered = answer.verdict == "order now"
        others = [p for p in packages() if (answer.option in p.options) != ordered]
        least = min(npc(found, package) for package in others)
        assert answer.otherwise == pytest.approx(least - best, abs=1e-6)


@pytest.mark.parametrize("inflation", [0.0, 0.04])
def test_a_retrofit_that_outgrows_the_transformer_pays_for_the_next_one(inflation: float) -> None:
    """All work is sure to come two years after first chips and is worth a retrofit."""
    site = {**SITE, "plan": {"runs": 100, "reserve_for": ()}}
    given = earning(site, later=True, pump=30_000.0, loader=30_000.0)
    growth = given.growth.model_copy(update={"retrofit_inflation": inflation})
    given = given.model_copy(update={"growth": growth})
    found = valued_case(given)
    term, timeline = found.site, found.problem.timeline
    bill = term.cost(states_of(found, Package(id="base")))
    # What is fitted in a period works from the next one: a period before the work comes.
    t = round(2 * timeline.periods_per_year) - 1
    years = with_first_chips(given).dates.lead_years + t / timeline.periods_per_year
    # The price rises until then; a day of the machine earns what it earns on the order date.
    expected = 1.08**-years * ((1 + inflation) ** years * 9000 + 2 * 1000)
    assert bill == pytest.approx(np.full(64, expected))
    ordered = term.cost(states_of(found, Package(id="x", options=("pump", "loader"))))
    assert ordered == pytest.approx(
        np.full(64, term.steps[0].levels[1].now - term.steps[0].levels[0].now)
    )


def test_what_is_reserved_for_retrofits_is_bought_at_once_and_never_outgrown() -> None:
    site = {**SITE, "plan": {"runs": 100, "reserve_for": ("pump", "chiller", "loader")}}
    given = earning(site, later=True, pump=30_000.0, loader=30_000.0)
    found = valued_case(given)
    assert found.site.steps == ()  # every package buys for all that may come
    bought = {p.id for p in readiness(given, Package(id="base")).purchases}
    assert "transformer-112-5" in bought


def test_reserving_for_one_option_counts_its_slot_once() -> None:
    site = {**SITE, "plan": {"runs": 100, "reserve_for": ("pump",)}}
    given = earning(site, later=True)
    (step,) = valued_case(given).site.steps
    assert step.total([]) == 8
    assert step.total(["pump"]) == 8
    assert step.total(["loader"]) == 12


def test_without_a_stated_day_first_chips_come_from_the_site() -> None:
    given = case({**SITE, "plan": {"runs": 100, "size": "large"}})
    day = readiness(given, Package(id="base")).planned_first_chips
    assert with_first_chips(given).dates.first_chips == day
    stated = case(SITE, first_chips=date(2026, 12, 1))
    assert with_first_chips(stated) is stated


def test_with_nothing_left_to_chance_or_for_later_every_valuation_is_the_same() -> None:
    found = valued_case(earning(SITE, pump=900.0, loader=600.0))
    for package in packages():
        told = package_answer(found, "asked", states_of(found, package))
        assert told.hindsight == pytest.approx(told.npc, abs=1e-6)
        assert told.rule == pytest.approx(told.npc, abs=1e-6)
