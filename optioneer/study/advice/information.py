"""What knowing more before the order would be worth, and what taking too much for granted costs."""

import math
from collections.abc import Iterator
from functools import partial
from typing import Literal

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.growth import Stream
from optioneer.study.advice.answers import Information, Learning, Rare
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_terms
from optioneer.study.problem.likeliest import likeliest_case, likeliest_world
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import cheapest_package
from optioneer.study.worth.foresight import added_by_budget
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.figures.information import (
    Knowledge,
    informed_cost,
    thirds,
    whether_and_when,
)
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.large.short_list import Appraisal, Listed, short_list
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.levels import Terms
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.timing.sweep import hindsight_cost

OFTEN_ENOUGH = 20
"""Futures in which a thing has to be due for its average and error to be told from the sample."""


def likeliest_plan(found: Valued, *, budget: float | None = None) -> States:
    """The package that is best when the likeliest future is taken for granted.

    Parameters
    ----------
    budget
        Limit on the price, if any [money].
    """
    sure, factor = likeliest_case(found.case), found.problem.order_factor
    lattices = tuple(
        _same_packages(cost.lattice, cluster_terms(sure, cluster, order_factor=factor))
        for cluster, cost in enumerate(found.costs)
    )
    problem = problem_of(sure, order_factor=factor, lattices=lattices)
    world = likeliest_world(sure, problem, found.world.shop)
    return cheapest_package(found, [_foresight(world, each) for each in lattices], budget=budget)


def _same_packages(valued: Lattice, terms: Terms) -> Lattice:
    """The packages of a valued cluster on other terms."""
    return short_list(terms, valued.packages) if isinstance(valued, Listed) else terms.lattice


def _foresight(world: World, lattice: Lattice) -> Floats:
    """Cost of each state in the one future of `world`, shape (P,) [money]."""
    if isinstance(lattice, Listed):
        look = Appraisal(lattice.terms, world, map)
        worths = (look.worth(package, only="hindsight") for package in lattice.packages)
        return np.array([float(worth.hindsight[0]) for worth in worths])
    view = world.view(lattice, world.valued)
    cost: Floats = hindsight_cost(view)[:, 0] + lattice.price
    return cost


KnowledgeKind = Literal["stream", "driver"]


def information(found: Valued, chosen: States, *, budget: float | None = None) -> Information:
    """What knowing more would be worth to somebody who orders `chosen`.

    Parameters
    ----------
    chosen
        The advised package.
    budget
        Limit on the price that every other choice keeps to, if any [money].

    Notes
    -----
    Where retrofits are paid from the account it is not told what single things are worth to know.
    """
    paid = found.cost(chosen)
    plan = likeliest_plan(found, budget=budget)
    learnings = [
        _learning(found, chosen, budget, (kind, name, knowledge))
        for kind, name, knowledge in _questions(found)
        if not isinstance(found, Pursed)
    ]
    return perfect_information(found, chosen, budget=budget).model_copy(
        update={
            "likeliest_future_plan_costs": float((found.cost(plan) - paid).mean()),
            "likeliest_future_plan": found.options(plan),
            "learning": tuple(sorted(learnings, key=lambda e: (-e.worth, e.kind, e.id))),
        }
    )


def perfect_information(
    found: Valued, chosen: States, *, budget: float | None = None
) -> Information:
    """What knowing everything would be worth, as far as the valuation tells without more work.

    As `information`; whoever knows the future keeps to the same `budget`.
    """
    gain = found.cost(chosen) - found.constant - sum(cost.best_hindsight for cost in found.costs)
    if budget is not None:
        gain = gain - added_by_budget(found, budget)
    return Information(
        perfect_information=float(gain.mean()), perfect_information_se=standard_error(gain)
    )


def _questions(found: Valued) -> Iterator[tuple[KnowledgeKind, str, Knowledge]]:
    futures, never = found.world.valued, found.problem.timeline.periods
    for driver, values in zip(found.case.growth.driver, futures.drivers, strict=True):
        yield "driver", driver.id, Knowledge(thirds(values))
    for stream, arrival in zip(found.case.growth.stream, futures.arrival, strict=True):
        told = whether_and_when(arrival.astype(np.intp), never)
        yield "stream", stream.id, Knowledge(told)


def _learning(
    found: Valued, chosen: States, budget: float | None, about: tuple[KnowledgeKind, str, Knowledge]
) -> Learning:
    kind, name, knowledge = about
    gain = _gain(found, chosen, budget, knowledge)
    return Learning(kind=kind, id=name, worth=float(gain.mean()), worth_se=standard_error(gain))


def _gain(found: Valued, chosen: States, budget: float | None, knowledge: Knowledge) -> Floats:
    """NPC of `chosen` less that of the package ordered knowing the answer, shape (N,).

    What the site adds, and the mix of work beyond the price of an hour, is left out on both sides:
    it does not hang on the answer.
    """
    if knowledge.nothing:
        return np.zeros(found.world.valued.count)
    costs = [cost.learned for cost in found.costs]
    choose = partial(cheapest_package, found, budget=budget)
    informed = informed_cost(costs, knowledge, choose, otherwise=chosen)
    return found.apart(chosen) - found.site.cost(chosen) - found.constant - informed


def rare_streams(case: Case) -> tuple[Rare, ...]:
    """Streams due to come, or to stay away, in fewer than 20 of the case's futures."""
    told = (_rare(case, stream) for stream in case.growth.stream)
    return tuple(each for each in told if each is not None and each.times < OFTEN_ENOUGH)


def _rare(case: Case, stream: Stream) -> Rare | None:
    chance = case.growth.chance_of(stream)
    seldom = min(chance, 1.0 - chance)
    if seldom == 0.0:  # what is certain either way is seen in every future
        return None
    return Rare(
        stream=stream.id,
        name=stream.name or stream.id,
        chance=chance,
        times=case.growth.futures * seldom,
        futures=math.ceil(OFTEN_ENOUGH / seldom),
    )
