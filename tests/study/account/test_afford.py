"""Retrofits where the account can pay: ample cash changes nothing, with none nothing is fitted."""

from dataclasses import replace
from functools import cache
from itertools import pairwise, product
from typing import Any

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.errors import RequestError
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.reports.advice.pages import advice_page
from optioneer.reports.cash.account import account_page
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.money import Figures
from optioneer.study.account.account import account_study
from optioneer.study.account.afford import affordable
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.advice.package_choice import named_package
from optioneer.study.advice.proof import proof
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.futures import with_draws
from optioneer.study.site_costs.site_bills import States
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import package_holding, states_of
from optioneer.study.worth.pursed import Pursed, valued_as_paid
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.timing.journey import Journey, bill_of, decisions, made_retrofits
from optioneer.valuation.worlds.futures import margin_in
from tests.paying_cases import BANK, MINE, case

FUTURES = 64
TAX = {"rate": 0.25, "depreciation": "macrs-7"}
AT_ORDER = {**MINE, "stages": ({"share": 1.0, "when": "order"},)}
TIGHT = 295_000.0
"""With what the machine earns it is enough for some retrofits only."""


def poor(opening: float, *, retrofits: str = "account", **facts: Any) -> Case:
    asked = case(AT_ORDER, account={"opening": opening, "retrofits": retrofits}, use="own", **facts)
    return with_draws(asked, FUTURES)


@cache
def found_with(opening: float, *, taxed: bool = False) -> Pursed:
    facts: dict[str, Any] = {"income_tax": TAX} if taxed else {}
    found = valued_as_paid(poor(opening, **facts))
    assert isinstance(found, Pursed)
    return found


def bare(found: Pursed) -> States:
    return states_of(found, named_package(found.case, "base"))


@pytest.mark.parametrize("taxed", [False, True])
def test_with_ample_cash_nothing_changes(taxed: bool) -> None:  # noqa: FBT001 - the signature is pytest's
    rich = found_with(1e9, taxed=taxed)
    for package in (bare(rich), best_package(rich)):
        assert rich.share_refused(package) == 0.0
        for own, free in zip(rich.journeys(package), rich.free.journeys(package), strict=True):
            assert np.array_equal(own.fitted_in, free.fitted_in)
            assert own.cost == pytest.approx(free.cost)
        assert np.array_equal(rich.cost(package), rich.free.cost(package))
    assert best_package(rich) == best_package(rich.free)


def test_with_no_cash_nothing_is_ever_fitted() -> None:
    none = found_with(-1e9)
    periods = none.problem.timeline.periods
    for package in (bare(none), best_package(none)):
        assert all((one.fitted_in == periods).all() for one in none.journeys(package))
    assert none.share_refused(bare(none)) > 0.0


def test_the_more_is_in_the_account_the_less_it_costs_and_the_less_is_refused() -> None:
    openings = (-1e9, 260_000.0, TIGHT, 345_000.0, 420_000.0, 1e9)
    for less, more in pairwise(found_with(opening) for opening in openings):
        for package in (bare(more), best_package(less)):
            assert more.mean(package) <= less.mean(package) + 1e-6
            assert more.share_refused(package) <= less.share_refused(package)
        assert more.mean(best_package(more)) <= less.mean(best_package(less)) + 1e-6


def margins(found: Pursed, period: int) -> Floats:
    """What all work brings in a period, whoever does it, shape (N,) [money]."""
    growth, clock, total = found.problem.growth, found.problem.timeline, np.zeros(FUTURES)
    lost = dict(found.problem.alone)
    for k in range(len(growth.keys)):
        margin = margin_in(growth, clock, found.world.valued, stream=k, period=period)
        total += margin * (1.0 - lost.get(k, 0.0)) * clock.dt
    return total


def by_hand(found: Pursed, package: States) -> tuple[Floats, set[int]]:
    """NPC of each future, and the futures with a refusal, every future and period looked at."""
    clock, columns = found.problem.timeline, np.arange(FUTURES)
    roads = [
        list(decisions(found.world.view(one.lattice, found.world.valued), one.policy.after(state)))
        for one, state in zip(found.costs, package, strict=True)
    ]
    held = [np.full(FUTURES, state) for state in package]
    kept = found.purse.money_left(package_holding(found.case, "by-hand", found.options(package)))
    cost, earned, refused = found.free.constant.copy(), np.zeros(FUTURES), set[int]()
    cost += sum(one.lattice.price[s] for one, s in zip(found.costs, package, strict=True))
    for t in range(clock.periods):
        counts = clock.at_start[t] * clock.retrofit_level[t] / clock.price_level[t]
        flows = np.zeros(FUTURES)
        for one, road, state in zip(found.costs, roads, held, strict=True):
            now = road[t][1]
            flows += now.flow[state, columns]
            wanted = now.choice[state, columns] if t and one.lattice.targets else state.copy()
            made = made_retrofits(one.lattice, state, wanted)
            bill = bill_of(one.lattice, now.charges, state, wanted, made).sum(axis=0)
            for n in np.flatnonzero(wanted != state).tolist():
                if bill[n] / counts > kept[t] + earned[n]:
                    refused.add(n)
                    continue
                state[n] = wanted[n]
                earned[n] -= bill[n] / counts
                cost[n] += bill[n]
        cost += flows
        ramp = 0.5 if t == 0 else 1.0
        earned += ramp * (margins(found, t) - flows / clock.during[t])
    for one, state in zip(found.costs, held, strict=True):
        cost -= clock.at_start[-1] * one.lattice.resale[state]
    return cost, refused


@pytest.mark.parametrize("opening", [260_000.0, TIGHT])
def test_every_future_and_period_looked_at_by_hand_is_the_same(opening: float) -> None:
    found = found_with(opening)
    for package in (bare(found), best_package(found)):
        costs, refused = by_hand(found, package)
        assert found.cost(package) == pytest.approx(costs)
        assert set(found.refusals(package).some.tolist()) == refused
        assert 0 < len(refused) < FUTURES


def all_packages(found: Pursed) -> list[States]:
    orderable = (np.flatnonzero(cost.lattice.orderable).tolist() for cost in found.costs)
    return list(product(*orderable))


@pytest.mark.parametrize("opening", [-1e9, 330_000.0, TIGHT])
def test_no_package_of_a_sample_is_better_than_the_advised_one(opening: float) -> None:
    found = found_with(opening)
    packages = all_packages(found)
    sample = np.random.default_rng(5).choice(len(packages), 40, replace=False)
    must_be_best(found, [packages[k] for k in sample])


def must_be_best(found: Pursed, packages: list[States]) -> None:
    """No package is better than the best one, nor within a budget than the best within it."""
    means = {package: found.mean(package) for package in packages}
    assert found.mean(best_package(found)) <= min(means.values()) + 0.01
    budget = float(np.median([found.price(package) for package in packages]))
    within = [mean for one, mean in means.items() if found.price(one) <= budget + 0.005]
    limited = best_package(found, budget=budget)
    assert found.price(limited) <= budget + 0.005
    assert found.mean(limited) <= min(within) + 0.01


def told(opening: float, retrofits: str) -> Advice:
    return advice(AdviceRequest(poor(opening, retrofits=retrofits), prove=True))


def test_with_ample_cash_the_advice_is_the_same() -> None:
    rich, free = told(1e9, "account"), told(1e9, "free")
    left_out = {"from_account", "information", "options", "frontier"}
    assert rich.model_dump(exclude=left_out) == free.model_dump(exclude=left_out)
    for own, other in zip(rich.options, free.options, strict=True):
        assert not own.unpaid
        same = {"unpaid", "hangs_on"}
        assert own.model_dump(exclude=same) == pytest.approx(other.model_dump(exclude=same))
    assert rich.from_account is not None
    assert (rich.from_account.refused, rich.from_account.turned) == (0.0, ())


def test_what_turns_is_ordered_now_because_later_there_would_be_no_money() -> None:
    asked = poor(-1e9)
    answer = advice(AdviceRequest(asked, prove=True))
    assert answer.from_account is not None
    turned = {one.option: one for one in answer.from_account.turned}
    now = [one for one in answer.options if one.verdict == "order now" and one.unpaid]
    assert set(turned) & {one.option for one in now}
    assert all(one.verdict != "leave for retrofit" for one in answer.options)
    assert answer.from_account.costs <= answer.from_account.saved_at_most
    page = terminal_text(advice_page(asked, answer, Figures("USD")), width=200)
    assert "Later there would be no money for it when it is wanted in" in page
    assert "order now instead of leave for a retrofit: later there would be no money in" in page
    free = told(-1e9, "free")
    assert answer.proof is not None
    assert free.proof is not None
    assert answer.proof.bound == pytest.approx(free.proof.bound, rel=0.01)


def test_the_bound_is_the_same_whichever_package_it_is_told_of() -> None:
    """Of the bare machine, whose retrofits nobody could pay, and of the one that is advised."""
    none = found_with(-1e9)
    bounds = []
    for package in (bare(none), best_package(none)):
        answer = package_answer(none, "asked", package, fresh_look(none, package))
        bounds.append(proof(none, package, answer).answer)
    unpaid = none.mean(bare(none)) - float(none.free.cost(bare(none)).mean())
    error = 2 * float(np.hypot(bounds[0].bound_se, bounds[1].bound_se))
    assert unpaid > 2 * error
    assert bounds[0].bound == pytest.approx(bounds[1].bound, abs=error)


@pytest.mark.parametrize("refused", [{"break_even": True}, {"weight": 0.3}])
def test_what_is_only_known_with_every_retrofit_paid_is_refused(refused: dict[str, Any]) -> None:
    with pytest.raises(RequestError, match="counts every retrofit as paid"):
        AdviceRequest(poor(TIGHT), **refused)


def test_what_could_not_be_paid_is_told_and_what_to_order_now() -> None:
    found, package = found_with(TIGHT), named_package(case(AT_ORDER), "base")
    answer = affordable(found, package, "own")
    assert 0.0 < answer.refused < 1.0
    assert answer.costs >= 0.0
    assert answer.options
    for one in answer.options:
        assert one.option not in package.options
        assert 0.0 < one.refused <= answer.refused
    rich = affordable(found_with(1e9), package, "own")
    assert (rich.refused, rich.options) == (0.0, ())
    assert rich.costs == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("retrofits", ["free", "account", "loan"])
def test_the_account_says_so_only_where_it_is_asked(retrofits: str) -> None:
    asked = case(BANK, account={"opening": 40_000.0, "retrofits": retrofits})
    found = valued_case(with_draws(asked, FUTURES))
    study = account_study(found, named_package(found.case, "base"))
    assert bool(study.answer.affordable) == (retrofits == "account")
    page = terminal_text(account_page(study.answer, "Mill", Figures("USD")), width=200)
    assert ("could not be paid when it is wanted" in page) == (retrofits == "account")
    lent = len([flow for flow in study.plans[0].flows if flow.kind == "retrofit"])
    assert (lent > 60) == (retrofits == "loan")


def test_the_account_shows_only_retrofits_that_it_could_pay() -> None:
    moved = {}
    for opening in (-1e9, 1e9):
        account = {"opening": opening, "retrofits": "account"}
        found = valued_case(with_draws(case(BANK, account=account), FUTURES))
        (plan,) = account_study(found, named_package(found.case, "base")).plans
        moved[opening] = any(one.kind == "retrofit" and one.cents.any() for one in plan.flows)
    assert moved == {-1e9: False, 1e9: True}


def on_a_demo(opening: float) -> Pursed:
    """The small mill, whose site has steps and whose hours are limited."""
    folder = next(one for one in demo_folders() if one.name == "small-mill")
    asked = with_draws(read_case(folder), 32)
    assert asked.paying is not None
    account = {"opening": opening, "retrofits": "account"}
    paying = asked.paying.model_copy(
        update={"use": "bank", "account": asked.paying.account.model_copy(update=account)}
    )
    found = valued_as_paid(asked.model_copy(update={"paying": paying}))
    assert isinstance(found, Pursed)
    return found


def test_site_bills_and_the_mix_of_work_follow_what_is_really_fitted() -> None:
    found = on_a_demo(-60_000.0)
    assert found.mix.any_tied
    package = bare(found)

    def whole(journeys: tuple[Journey, ...]) -> Floats:
        bare_costs = tuple(replace(one, moves=None) for one in found.costs)
        site = SiteTerm(
            found.site.steps,
            problem=found.problem,
            world=found.world,
            costs=bare_costs,
            means=found.means,
        )
        site.bills.knows(package, journeys)
        after = site.cost(package) + found.mix.whole(journeys)
        return after + sum(one.cost for one in journeys)

    added = whole(found.journeys(package)) - whole(found.free.journeys(package))
    assert added.any()
    assert found.cost(package) - found.free.cost(package) == pytest.approx(added, abs=1e-6)
