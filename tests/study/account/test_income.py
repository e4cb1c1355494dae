"""What the machine leaves to pay retrofits from, month by month, and choices within a budget."""

from dataclasses import dataclass, field, replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.study.account.afford import _best_with
from optioneer.study.problem import clusters
from optioneer.study.problem.futures import with_draws
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.affordable import GAIN, best_affordable
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.purse import _world_at, income, life
from optioneer.study.worth.valued_case import valued_case
from tests.oracle.cases import case_of, certain, driven, option, stream
from tests.paying_cases import paying
from tests.study.account.test_afford import AT_ORDER, TIGHT, found_with
from tests.study.worth.test_hours_apart import shop
from tests.valuation.engine import engine

RAMPS = ((), (0.5,), (0.0, 0.2, 0.7, 0.9, 0.9), (0.25,) * 30)


@pytest.mark.parametrize("ramp", RAMPS)
def test_a_period_brings_the_mean_of_its_months(ramp: tuple[float, ...]) -> None:
    known = found_with(TIGHT)
    account = {"opening": 1e6, "retrofits": "account", "ramp": ramp}
    case = known.case.model_copy(update={"paying": paying(AT_ORDER, account=account, use="own")})
    told = income(replace(known, case=case)).ramp
    months = 12 // case.growth.periods_per_year
    shares = [*ramp, *[1.0] * (months * len(told))][: months * len(told)]
    assert told.tolist() == pytest.approx(np.mean(np.reshape(shares, (-1, months)), axis=1))


@pytest.mark.parametrize("extra", [4e3, 12e3, 25e3])
def test_kept_to_some_states_within_a_budget_the_choice_keeps_both(extra: float) -> None:
    """And is no dearer than what keeps both if the rest stays as it is in the best."""
    known = found_with(TIGHT)
    budget = known.case.machine.base_price + extra
    best = best_package(known, budget=budget)
    assert known.price(best) <= budget + 0.005
    for cluster, cost in enumerate(known.costs):
        for index in {o for levels in cost.lattice.fitted for o in levels if o >= 0}:
            holding = cost.lattice.holding(index)
            allowed = holding != holding[best[cluster]]
            near = [
                (*best[:cluster], int(state), *best[cluster + 1 :])
                for state in np.flatnonzero(allowed & cost.lattice.orderable)
            ]
            able = [one for one in near if known.price(one) <= budget + 0.005]
            if not able:
                continue
            other = best_package(known, budget=budget, within=(cluster, allowed))
            assert allowed[other[cluster]]
            assert known.price(other) <= budget + 0.005
            cheapest = min(able, key=lambda one: known.means[cluster][one[cluster]])
            assert known.mean(other) <= known.mean(cheapest) + 0.01


@dataclass
class Tight:
    """Two clusters of three states, and what each package really costs.

    Parameters
    ----------
    apart
        Mean cost of each state where every retrofit is paid, shape (2, 3).
    refused
        What being refused adds to each package, shape (3, 3).
    prices
        Price of each state, shape (2, 3).
    """

    apart: Floats
    refused: Floats
    prices: Floats = field(default_factory=lambda: np.zeros((2, 3)))
    bests: dict[float | None, States] = field(default_factory=dict)

    def __post_init__(self) -> None:
        lattice = SimpleNamespace(orderable=np.ones(3, dtype=bool))
        self.costs = [SimpleNamespace(lattice=lattice)] * 2
        self.means = self.still = tuple(self.apart)
        self.site = SimpleNamespace(now_beside=lambda *_: 0.0)
        self.free = SimpleNamespace(cost=self._free)

    def _free(self, package: States) -> Floats:
        return np.array([self.apart[0, package[0]] + self.apart[1, package[1]]])

    def mean(self, package: States) -> float:
        return float(self._free(package)[0] + self.refused[package])


@pytest.mark.parametrize("left", [np.inf, 5.0, 3.0])
@pytest.mark.parametrize("seed", range(12))
def test_no_change_of_one_cluster_betters_what_the_search_ends_at(seed: int, left: float) -> None:
    """Of what can be paid; prices are 1 to 3."""
    drawn = np.random.default_rng(seed)
    prices = np.array([drawn.permutation([1.0, 2.0, 3.0]) for _ in range(2)])
    apart, refused = drawn.uniform(0.0, 1.0, (2, 3)), drawn.uniform(0.0, 9.0, (3, 3))
    found: Any = Tight(apart, refused, prices)
    able = [p for p in product(range(3), repeat=2) if prices[0, p[0]] + prices[1, p[1]] <= left]
    free = min(able, key=lambda p: apart[0, p[0]] + apart[1, p[1]])
    best = best_affordable(found, free, left)
    assert best in able
    for package in able:
        if sum(a != b for a, b in zip(package, best, strict=True)) <= 1:
            assert found.mean(best) <= found.mean(package) + GAIN
    assert found.mean(best) <= found.mean(free)


def test_two_steps_lead_where_neither_alone_does() -> None:
    """From one package over a little better one to the best, which differs in both clusters."""
    refused = np.full((3, 3), 9.0)
    refused[0, 0], refused[1, 0], refused[1, 1] = 5.0, 4.0, 1.0
    apart = np.array([[0.0, 0.1, 0.2], [0.0, 0.1, 0.2]])
    found: Any = Tight(apart, refused)
    assert best_affordable(found, (0, 0), np.inf) == (1, 1)


def test_in_some_of_the_futures_an_hour_has_the_price_that_it_is_held_to() -> None:
    world = engine(driven()).world
    drawn, some = np.random.default_rng(2), np.array([1, 4, 9])
    kept = drawn.uniform(0.0, 50.0, (5, 16)), drawn.uniform(0.0, 50.0, (5, world.learned.count))
    there = _world_at(replace(world, kept=kept), some)
    assert there.price is not None
    assert there.price.tolist() == kept[0][:, some].tolist()
    assert there.learned_price is kept[1]
    assert there.valued.arrival.tolist() == world.valued.arrival[:, some].tolist()
    assert _world_at(world, some).price is None


def test_work_that_no_option_serves_brings_what_is_done_of_it_by_hand() -> None:
    """Two fifths of 10,000 a year from the first day on, in quarters."""
    work = stream("by-hand", certain(0.0), 10e3, [], fallback=0.4, way=())
    case = case_of([option("probe", 5e3, 1.2)], [work], growth={"periods_per_year": 4})
    told = income(valued_case(case.model_copy(update={"paying": paying(AT_ORDER, use="own")})))
    assert told.work == pytest.approx(np.full(told.work.shape, 1e3))


@pytest.mark.parametrize(
    ("means", "held", "best"),
    [
        ((3.0, 9.0, 7.0), 0, (2, 1)),
        ((3.0, np.inf, 7.0), 0, (2, 1)),
        ((3.0, np.inf, np.inf), 0, None),
        ((3.0, 9.0, 7.0), 2, None),
    ],
)
def test_ordered_now_is_the_best_state_that_holds_it_and_can_be_ordered(
    means: tuple[float, ...], held: int, best: States | None
) -> None:
    """The option is in states 1 and 2 of the first of two clusters; once ordered there is none."""
    lattice = SimpleNamespace(holding=lambda _: np.array([False, True, True]))
    found: Any = SimpleNamespace(
        cluster_of=lambda _: 0,
        costs=[SimpleNamespace(lattice=lattice)],
        means=[np.array(means), np.zeros(3)],
    )
    assert _best_with(found, (held, 1), 5) == best


def test_what_the_machine_leaves_adds_up_to_what_the_shop_has_where_hours_are_paid_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Less what is paid with the order; clusters that share hours are valued apart."""
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)
    account = {"opening": 1e6, "retrofits": "account", "ramp": (1.0,)}
    plan = {"paying": paying(AT_ORDER, account=account, use="own")}
    found = valued_case(with_draws(shop(1).model_copy(update=plan), 64))
    assert found.mix.any_tied
    told, package = income(found), tuple(0 for _ in found.costs)
    lives = [life(found, cluster, state) for cluster, state in enumerate(package)]
    flow, bill = (sum(getattr(one, name) for one in lives) for name in ("flow", "bill"))
    left = (told.during[:, None] * told.net(flow)).sum(axis=0) - bill.sum(axis=0)
    # What comes back at the end is in the cost of a life, but no income.
    back = flow.sum(axis=0) + bill.sum(axis=0) - sum(one.journey.cost for one in lives)
    order = found.problem.base_price - found.problem.base_resale
    order += sum(cost.lattice.price[s] for cost, s in zip(found.costs, package, strict=True))
    assert left + back - order == pytest.approx(found.margin - found.apart(package))
