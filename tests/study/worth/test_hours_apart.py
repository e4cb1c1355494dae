"""Clusters that share hours but are valued apart, at a price of an hour."""

from dataclasses import replace
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream, Way
from optioneer.model.machine import Hours
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem import clusters, futures
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.revaluation import pieces_of
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.shared_hours.hour_prices import Members, with_hour_prices
from optioneer.valuation.shared_hours.margins import Margins
from optioneer.valuation.shared_hours.real_mix import MixTerm
from optioneer.valuation.shared_hours.shop import Shop, Taken, right_price
from optioneer.valuation.timing.cluster import World
from tests.oracle import ending, exact
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.oracle.machine import State

SEEDS = range(12)

ADVISED = 0.003
"""How much more than the best package the advised one may cost, as a share."""

ERRORS = 4.0
"""Standard errors of the drawn futures that figures may be off by."""


@pytest.fixture(autouse=True)
def apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """No lattice is small enough to hold all that takes hours."""
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)


@cache
def shop(seed: int) -> Case:
    """Four options that serve a kind of work each, and ordinary work, in too few hours."""
    chosen = np.random.default_rng(seed)
    options, streams = [], []
    for number in range(4):
        price = 1000.0 * float(chosen.integers(6, 24))
        later = float(chosen.choice([1.2, 1.4, 2.0, 3.0])) if chosen.random() < 0.75 else None
        options.append(option(f"option-{number}", price, later))
        streams.append(_work(chosen, number, price))
    margin, way = float(chosen.choice([20e3, 40e3])), (Way(options=()),)
    streams.append(stream("ordinary", certain(0.0), margin, [], hours=900.0, way=way))
    needed = sum(each.hours for each in streams)
    hours = Hours(
        attended=round(needed * float(chosen.choice([0.2, 0.35, 0.5]))),
        beyond=[None, 20.0, 45.0][int(chosen.integers(3))],
    )
    return case_of(options, streams, lead=0.25).model_copy(update={"hours": hours})


def _work(chosen: np.random.Generator, number: int, price: float) -> Stream:
    hours = float(chosen.choice([400.0, 800.0, 1500.0]))
    ways = [
        Way(options=(f"option-{number}",), hours=hours * float(chosen.choice([1.0, 0.5, 0.25])))
    ]
    if chosen.random() < 0.4:
        ways.append(Way(options=(), share=float(chosen.choice([0.5, 0.8])), hours=hours))
    low, likely, high = sorted(chosen.uniform(0.0, 5.0, 3).tolist())
    return stream(
        f"work-{number}",
        between(low, likely, high),
        round(price * float(chosen.choice([0.5, 0.8, 1.5, 2.5]))),
        [],
        chance=float(chosen.choice([0.3, 0.6, 0.9])),
        hours=hours,
        way=tuple(ways),
        fallback=float(chosen.choice([0.0, 0.2])),
    )


@cache
def told(seed: int) -> tuple[Advice, dict[State, float]]:
    """What is advised, and what every package costs under the best policy there is."""
    return advice(AdviceRequest(shop(seed))), exact.optimum(shop(seed))


def test_they_are_apart() -> None:
    problem = problem_of(shop(0))
    assert not problem.together
    assert [lattice.size for lattice in problem.lattices] == [2, 2, 2, 2, 1]


@pytest.mark.parametrize("seed", SEEDS)
def test_the_advised_package_is_hardly_dearer_than_the_best(seed: int) -> None:
    answer, best = told(seed)
    assert best[frozenset(answer.advised.options)] <= min(best.values()) * (1 + ADVISED)


def test_years_of_hours_follow_one_another_from_the_first_chips_on() -> None:
    hours = told(0)[0].hours
    assert hours is not None
    assert hours.years[0].start == shop(0).dates.first_chips_date
    assert all(one.end == following.start for one, following in pairwise(hours.years))
    assert [(one.end - one.start).days // 365 for one in hours.years] == [1] * len(hours.years)


@pytest.mark.parametrize("seed", SEEDS)
def test_no_budget_buys_a_better_package_than_the_advised_one(seed: int) -> None:
    answer, _ = told(seed)
    dearest = answer.frontier[-1]
    assert dearest.options == answer.advised.options
    assert dearest.npc == pytest.approx(answer.advised.npc)


@pytest.mark.parametrize("seed", SEEDS)
def test_what_can_be_had_is_never_below_the_best_there_is(seed: int) -> None:
    answer, best = told(seed)
    room = ERRORS * answer.advised.npc_se
    assert answer.advised.npc >= best[frozenset(answer.advised.options)] - room


@pytest.mark.parametrize("seed", SEEDS)
def test_nobody_passes_the_bound(seed: int) -> None:
    answer, best = told(seed)
    room = ERRORS * answer.advised.npc_se
    assert answer.advised.hindsight <= best[frozenset(answer.advised.options)] + room
    known = exact.hindsight(shop(seed))
    for package in answer.packages:
        own = known[frozenset(package.options)]
        assert package.hindsight <= own + ERRORS * package.npc_se


@pytest.mark.parametrize("seed", SEEDS)
def test_the_real_mix_never_earns_more_than_its_price_says(seed: int) -> None:
    found = valued_case(shop(seed))
    for package in ((0, 0, 0, 0, 0), (1, 1, 1, 1, 0)):
        assert (found.mix.fewer.cost(package) >= -1e-6).all()


def test_what_a_proof_shows_cannot_be_passed_either() -> None:
    answer, best = advice(AdviceRequest(shop(1), prove=True)), exact.optimum(shop(1))
    assert answer.proof is not None
    assert answer.proof.bound <= min(best.values()) + ERRORS * answer.proof.bound_se


def test_the_package_is_worth_the_same_as_in_one_lattice(monkeypatch: pytest.MonkeyPatch) -> None:
    # Of few hours that work leaves free nothing is scarce: both ways are exact then.
    case = shop(2).model_copy(update={"hours": Hours(attended=8000.0)})
    one = advice(AdviceRequest(case))
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 256)
    other = advice(AdviceRequest(case))
    assert one.advised.options == other.advised.options
    assert one.advised.npc == pytest.approx(other.advised.npc, rel=2e-4)


def test_a_machine_that_may_go_early_is_advised_on_too() -> None:
    """The likeliest future is shorter than the futures that an hour was priced on."""
    kept = Triangular(low=1.0, likely=2.0, high=5.0)
    case = shop(0)
    machine = case.machine.model_copy(update={"kept_years": kept})
    told = advice(AdviceRequest(case.model_copy(update={"machine": machine})))
    costs = told.information.likeliest_future_plan_costs
    assert costs is not None
    assert costs >= 0.0


def kept_for_a_while(seed: int) -> Case:
    """Fewer kinds of work on a machine that may go any year, with as much too few hours."""
    whole = shop(seed)
    streams = (*whole.growth.stream[:2], whole.growth.stream[-1])
    part = sum(one.hours for one in streams) / sum(one.hours for one in whole.growth.stream)
    assert whole.hours is not None
    attended = round(whole.hours.attended * part)
    return whole.model_copy(
        update={
            "growth": whole.growth.model_copy(update={"stream": streams}),
            "hours": whole.hours.model_copy(update={"attended": attended}),
            "machine": whole.machine.model_copy(
                update={"kept_years": Triangular(low=1.0, likely=3.0, high=5.0)}
            ),
        }
    )


@pytest.mark.parametrize("seed", range(6))
def test_hours_are_shared_only_while_the_machine_is_there(seed: int) -> None:
    case = kept_for_a_while(seed)
    assert not problem_of(case).together
    answer, best = advice(AdviceRequest(case)), ending.optimum(case)
    mine, least = best[frozenset(answer.advised.options)], min(best.values())
    room = ERRORS * answer.advised.npc_se
    assert mine <= least * (1 + ADVISED)
    assert answer.advised.npc >= mine - room
    assert answer.advised.npc <= mine * 1.012 + room
    assert answer.advised.hindsight <= mine + room


def test_for_a_figure_of_hours_their_price_is_looked_for_once_and_not_for_every_piece(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    pieces = pieces_of(with_draws(shop(1), 64))
    looked: list[World] = []
    before = with_hour_prices

    def counted(world: World, members: Members) -> World:
        looked.append(world)
        return before(world, members)

    monkeypatch.setattr(futures, "with_hour_prices", counted)
    for attended in (700.0, 900.0, 700.0):
        for piece in range(pieces.count):
            pieces.means(piece, {Figure("attended"): attended})
    more = pieces_of(pieces.case, 32)  # the same case on fewer of its futures
    more.costs(0, {Figure("attended"): 900.0})
    assert len(looked) == 2


def test_pieces_are_met_at_the_prices_of_the_whole_case() -> None:
    whole = valued_case(with_draws(shop(1), 256)).world
    first = pieces_of(with_draws(shop(1), 256), 64).world
    assert whole.price is not None
    assert first.price is not None
    assert first.learned_price is first.price
    assert np.array_equal(first.price, whole.price[:, :64])


def test_prices_are_those_of_every_period_looked_at_alone() -> None:
    world = valued_case(with_draws(shop(1), 256)).world
    assert isinstance(world.shop, Shop)
    assert world.price is not None
    assert world.attendance is not None
    sets = world.shop.sets
    margin = world.shop.margins(world.view(world.shop.outline, world.valued))
    assert (world.price > 0.0).any()
    for t, shares in enumerate(world.shop.shares):
        own, step = np.nonzero(sets.hours * shares[:, None])
        hours = sets.hours[own, step] * shares[own]
        steps = Taken(sets.row[own], sets.slope[own, step][:, None], hours[:, None])
        assert np.array_equal(world.price[t], right_price(steps, margin[:, t], world.attendance))


def test_margins_at_single_moments_are_those_of_all_moments() -> None:
    world = valued_case(with_draws(shop(1), 64)).world
    assert isinstance(world.shop, Shop)
    paths = np.random.default_rng(1).normal(
        size=(len(world.valued.arrival), world.timeline.periods + 1, 64)
    )
    stay = np.arange(64, dtype=np.int32) % (world.timeline.periods + 1)
    swinging = replace(world.valued, log_swing=tuple(paths), stay=stay)
    view = world.view(world.shop.outline, swinging, world.price)
    every, margins = world.shop.margins(view), Margins(view)
    moments = np.indices(every.shape[1:]).reshape(2, -1)
    alone = margins.at(np.arange(len(every)), *moments)
    assert np.array_equal(alone, every.reshape(len(every), -1))
    assert np.array_equal(margins.there, every > 0.0)


def test_moves_that_are_kept_are_mixed_as_if_they_were_decided_anew() -> None:
    found = valued_case(with_draws(shop(1), 256))
    anew = MixTerm(found.world, [replace(cost, moves=None) for cost in found.costs])
    assert any(cost.moves is not None for cost in found.costs)
    orders = [np.flatnonzero(cost.lattice.orderable)[[0, -1]] for cost in found.costs]
    for package in zip(*(order.tolist() for order in orders), strict=True):
        assert np.array_equal(found.mix.cost(package), anew.cost(package))
        assert found.mix.mean(package, rough=True) == anew.mean(package, rough=True)
