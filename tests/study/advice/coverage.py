"""Do printed intervals hold the true cost of the advised package as often as they say?

A case is advised with one seed after the other. What the advised package truly costs, under the
policy learned with that seed, is worked out without drawing anything: by hand where packages are
tied, else as the mean over every combination of arrival periods, weighted with the probability that
`tests.oracle` gives it.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from optioneer.model.case import Case
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.problem.futures import with_draws
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.summary import interval_errors
from tests.oracle.arrivals import joint
from tests.oracle.cases import (
    between,
    case_of,
    certain,
    driven,
    option,
    stream,
    two_visits,
    waiting,
)
from tests.valuation.engine import Engine, every_future

TIED, MARGIN, CHANCE = 8, 9e3, 0.3
"""Options that are as good to order as to leave off, and the work that each is for."""

True_ = Callable[[Valued, States], float]


def tied() -> Case:
    """256 packages that all cost the same: each option costs what its work is expected to earn."""
    free = tied_at(0.0)
    annuity = valued_case(free).problem.timeline.annuity[1]
    return tied_at(CHANCE * between(0.2 * MARGIN, MARGIN, 3 * MARGIN).mean * float(annuity))


def tied_at(price: float) -> Case:
    """The same at some price of the options."""
    margin = between(0.2 * MARGIN, MARGIN, 3 * MARGIN)
    names = [f"option-{k}" for k in range(TIED)]
    work = [
        stream(f"work-{name}", certain(1.0), MARGIN, [name], chance=CHANCE).model_copy(
            update={"margin": margin}
        )
        for name in names
    ]
    return with_draws(case_of([option(name, price) for name in names], work), 128)


def by_hand(found: Valued, chosen: States) -> float:
    """What every package of `tied` costs: the bare machine, and the options or the lost work."""
    del chosen
    prices = sum(float(cost.lattice.price.max()) for cost in found.costs)
    return found.problem.base_price - found.problem.base_resale + prices


def by_arrivals(found: Valued, chosen: States) -> float:
    """The mean over every combination of arrival periods under the policies of `found`."""
    world = replace(found.world, valued=every_future(found.case, found.problem))
    exact = Engine(found.problem, world, tuple(cost.policy for cost in found.costs))
    package = frozenset(found.options(chosen))
    return float(exact.learned[package] @ joint(found.case).ravel())


CASES: dict[str, tuple[Callable[[], Case], True_]] = {
    "tied": (tied, by_hand),
    "waiting": (waiting, by_arrivals),
    "driven": (driven, by_arrivals),
    "two visits": (two_visits, by_arrivals),
}


@dataclass(frozen=True)
class Trial:
    """One seed: what is printed, and what is true."""

    npc: float
    half: float
    true: float

    @property
    def held(self) -> bool:
        """Whether the interval holds what is true."""
        return abs(self.npc - self.true) <= self.half


def trials(name: str, seeds: Iterable[int], *, futures: int = 128) -> list[Trial]:
    """The case of that name advised with every seed."""
    make, true = CASES[name]
    case = make()
    return [_trial(with_draws(case, futures, seed), true) for seed in seeds]


def _trial(case: Case, true: True_) -> Trial:
    found = valued_case(case)
    chosen = best_package(found)
    answer = package_answer(found, "advised", chosen, fresh_look(found, chosen))
    half = interval_errors(case.growth.futures) * answer.npc_se
    return Trial(answer.npc, half, true(found, chosen))


def coverage(made: list[Trial]) -> float:
    """Share of trials whose interval holds what is true."""
    return float(np.mean([trial.held for trial in made]))
