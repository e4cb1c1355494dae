"""What does one package cost, whoever chose it."""

from dataclasses import dataclass, replace

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.machine import Package
from optioneer.study.advice.answers import PackageAnswer, PackageFigures
from optioneer.study.problem.futures import futures_of
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.outcome import Outcome, outcome_answer
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.cache.swept import remembered_bounds
from optioneer.valuation.figures.summary import spread, standard_error
from optioneer.valuation.large.short_list import with_journeys_in
from optioneer.valuation.timing.journey import Journey

TOLD_ON = 4
"""Which draws the advised package is told on: others than those that chose it."""


@dataclass(frozen=True)
class FreshLook:
    """A package on futures that did not choose it.

    The best of many near-equal packages looks better than it is on the futures that it was chosen
    on.

    Parameters
    ----------
    cost
        Its NPC in each future, shape (N,) [money].
    shift
        Its mean there less that on the futures of the case [money].
    journeys
        What happens to it after the order, by cluster.
    elsewhere
        The case on those futures; its costs only say what policies do, not what they cost.
    """

    package: States
    cost: Floats
    shift: float
    journeys: tuple[Journey, ...]
    elsewhere: Valued

    @property
    def outcome(self) -> Floats:
        """What the shop has in the end in each of its futures, shape (N,) [money]."""
        return self.elsewhere.margin - self.cost


def fresh_look(found: Valued, package: States) -> FreshLook:
    """`package` on futures of its own, as many as those of the case."""
    elsewhere = on_other_futures(found)
    journeys = elsewhere.journeys(package)
    elsewhere.site.bills.knows(package, journeys)
    after = zip(elsewhere.costs, package, journeys, strict=True)
    cost = elsewhere.constant + elsewhere.site.cost(package)
    cost = cost + elsewhere.mix.whole(journeys)
    for part, state, journey in after:
        cost = cost + (journey.cost + part.lattice.price[state])
    return FreshLook(
        package, cost, float(cost.mean() - found.cost(package).mean()), journeys, elsewhere
    )


def on_other_futures(found: Valued) -> Valued:
    """`found` on other futures, with costs that only say what policies do, not what they cost."""
    count = found.world.valued.count
    futures = futures_of(found.case, found.problem, count, use=TOLD_ON)
    world = found.world.valued_on(futures)
    return replace(
        found, world=world, costs=tuple(with_journeys_in(world, cost) for cost in found.costs)
    )


def package_answer(
    found: Valued, name: str, package: States, shown: FreshLook | None = None
) -> PackageAnswer:
    """What `package` costs, bounds included; parameters as for `package_figures`."""
    told = package_figures(found, name, package, shown)
    return with_bounds(found, package, told, shift=0.0 if shown is None else shown.shift)


def package_figures(
    found: Valued, name: str, package: States, shown: FreshLook | None = None
) -> PackageFigures:
    """What `package` costs.

    Parameters
    ----------
    name
        Id of the answer.
    shown
        Itself on other futures, or the advised package, from which it differs by as much as on the
        futures of the case; none: it is told on these.
    """
    cost = found.cost(package)
    error = standard_error(cost)
    if shown is not None:
        error = float(
            np.hypot(standard_error(shown.cost), standard_error(cost - found.cost(shown.package)))
        )
        cost = shown.cost if package == shown.package else cost + shown.shift
    return PackageFigures(
        id=name,
        options=found.options(package),
        price=found.price(package),
        npc=spread(cost).mean,
        npc_se=error,
        outcome=_outcome(found, package, shown),
    )


def with_bounds(
    found: Valued, package: States, told: PackageFigures, *, shift: float
) -> PackageAnswer:
    """The same with what a package costs with the future known, and under the rule.

    `shift` is what the advised package costs more on futures of its own.
    """
    constant = float(found.constant.mean()) + shift
    bounds = [
        remembered_bounds(found.world, cost, state)
        for cost, state in zip(found.costs, package, strict=True)
    ]
    return PackageAnswer(
        **dict(told),
        hindsight=constant + found.site.now(package) + sum(known for known, _ in bounds),
        rule=constant
        + float(found.site.cost(package).mean())
        + found.mix.under_rule(package)
        + sum(ruled for _, ruled in bounds),
        learned=told.npc,
    )


def _outcome(found: Valued, package: States, shown: FreshLook | None) -> Outcome:
    """What the shop has in the end, told on the futures that the cost is told on."""
    outcome, kept = found.outcome(package), found.not_buying
    if shown is None:
        return outcome_answer(outcome, kept)
    if package == shown.package:
        return outcome_answer(shown.outcome, shown.elsewhere.not_buying)
    # It differs from the advised package by as much as on the futures of the case.
    by = float(shown.outcome.mean() - found.outcome(shown.package).mean())
    moved = outcome_answer(outcome + by, kept + by)
    return moved.model_copy(update={"not_buying": float(shown.elsewhere.not_buying.mean())})


def asked_answer(found: Valued, package: Package) -> PackageAnswer:
    """What a package that somebody asks for costs, the same figures as in the advice.

    Where nothing was searched for, so that the advised package is not known, it is told by itself.
    """
    states = states_of(found, package)
    best = states if found.searches else best_package(found)
    return package_answer(found, package.id, states, fresh_look(found, best))
