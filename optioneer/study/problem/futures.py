"""The futures of a case: those to value on, to learn from and to prove on."""

import math
from typing import NamedTuple

import numpy as np
from pydantic import ValidationError

from optioneer.arrays import Floats
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.growth import Growth
from optioneer.study.problem.arrays import Problem
from optioneer.study.problem.clusters import cluster_lattice
from optioneer.valuation.large.short_list import Listed
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import Pricing
from optioneer.valuation.shared_hours.hour_prices import (
    attended_worth,
    members_of,
    with_hour_prices,
)
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.worlds.futures import Futures, drawn_futures, margin_in, margin_in_all
from optioneer.valuation.worlds.lives import sale_worth
from optioneer.valuation.worlds.scores import scores

FEWEST_LESSONS, MOST_LESSONS = 1024, 8192
"""Bounds on the number of futures that the retrofit policy is learned from: half of those valued.

On the mill-turn demo 2,048 instead of 4,096 cost 0.02 % of the decision-dependent part.
"""

PAIR_IN = 256
"""Lessons in which the two rarest kinds of work that share hours are both to be met. In a quarter
of them random small cases missed the best package by up to 0.7 %: what is done where both are
there hangs on few lessons, and no signal tells it."""


def world_of(
    case: Case,
    problem: Problem,
    fewest_lessons: int = FEWEST_LESSONS,
    *,
    shop: Pricing | None = None,
) -> World:
    """The futures of `case`: those to value on and those to learn from.

    `shop` says the price of an hour where clusters that share hours stay apart; it is looked for
    unless told.
    """
    lessons = lesson_count(case, problem, fewest_lessons)
    world = World(
        timeline=problem.timeline,
        growth=problem.growth,
        scores=scores(problem.growth, problem.timeline) if problem.growth.loadings.any() else None,
        valued=futures_of(case, problem, case.growth.futures, use=0),
        learned=futures_of(case, problem, lessons, use=1),
        attendance=problem.attendance,
        shop=None if problem.together else shop,
    )
    known = problem.together or shop is not None
    return world if known else with_hour_prices(world, members_of(at_list_prices(case, problem)))


def at_list_prices(case: Case, problem: Problem) -> tuple[Lattice, ...]:
    """The lattices of `case` with what options list for later in the place of what is asked now.

    An hour is priced on these: a discount on the order then leaves its price alone, so that two
    orders that differ in what the dealer asks are compared at the same price of an hour.
    """
    options = case.catalogue.options
    beside = {option.option for option in options if option.listed_later != option.price}
    listed = case.model_copy(
        update={
            "catalogue": Catalogue(
                options=tuple(o.model_copy(update={"price": o.listed_later}) for o in options)
            )
        }
    )

    def told(cluster: int, lattice: Lattice) -> Lattice:
        held = {problem.options[o] for fitted in lattice.fitted for o in fitted if o >= 0}
        if not held & beside or isinstance(lattice, Listed):
            return lattice
        return cluster_lattice(listed, cluster, order_factor=problem.order_factor)

    return tuple(told(cluster, lattice) for cluster, lattice in enumerate(problem.lattices))


def lesson_count(case: Case, problem: Problem, fewest: int = FEWEST_LESSONS) -> int:
    """Futures that policies are learned from."""
    enough = max(case.growth.futures // 2, fewest)
    if problem.together and problem.attendance is not None:
        rarest = sorted(
            stream.mean_chance for stream in case.growth.stream if case.counts_hours_of(stream)
        )
        both = float(np.prod(rarest[:2]))
        enough = max(enough, math.ceil(PAIR_IN / max(both, PAIR_IN / MOST_LESSONS)))
    return min(enough, MOST_LESSONS)


def futures_of(case: Case, problem: Problem, count: int, *, use: int) -> Futures:
    """Futures of `case`: by `use` 0 to value on, 1 to learn from, 2 to prove on."""
    return drawn_futures(
        problem.growth,
        problem.timeline,
        options=problem.options,
        count=count,
        seed=case.growth.seed,
        use=use,
    )


def constant_cost(problem: Problem, world: World) -> Floats:
    """Base price, resale of the bare machine, and streams that no option serves, shape (N,).

    Where clusters stay apart and pay for hours, what the attended ones are worth comes back here.
    """
    timeline, futures = problem.timeline, world.valued
    cost = np.full(futures.count, problem.base_price - problem.base_resale)
    if futures.stay.size and problem.base_resale > 0.0:
        worth = sale_worth(np.array([problem.base_resale_share]), timeline)[0]
        cost += problem.base_resale * (1.0 - worth[futures.stay] / worth[-1])
    return cost + lost_alone(problem, world) - attended_worth(world)


def lost_alone(problem: Problem, world: World) -> Floats:
    """Margin of streams that no option serves which is lost whatever is ordered, (N,) [money]."""
    timeline, futures = problem.timeline, world.valued
    total = np.zeros(futures.count)
    for k, lost in problem.alone:
        for t in range(timeline.periods):
            margin = margin_in(problem.growth, timeline, futures, stream=k, period=t)
            total += timeline.during[t] * timeline.dt * lost * margin
    return total


class WorkMargins(NamedTuple):
    """Discounted margin of all work that comes, in each future, shape (N,) each [money].

    Parameters
    ----------
    whole
        Whatever is ordered.
    kept
        The share that is kept without any machine: the fallbacks.
    """

    whole: Floats
    kept: Floats


def work_margins(case: Case, problem: Problem, world: World) -> WorkMargins:
    """What all work comes to with a machine and without any."""
    found = WorkMargins(np.zeros(world.valued.count), np.zeros(world.valued.count))
    for k, stream in enumerate(case.growth.stream):
        margin = margin_in_all(problem.growth, problem.timeline, world.valued, stream=k)
        found.whole[:] += margin
        if stream.fallback > 0.0:
            found.kept[:] += stream.fallback * margin
    return found


def with_draws(case: Case, futures: int | None = None, seed: int | None = None) -> Case:
    """`case` valued on so many futures, drawn with this seed; what is None stays.

    Raises
    ------
    RequestError
        A number is outside what the model allows.
    """
    asked = {"futures": futures, "seed": seed}
    changes = {name: value for name, value in asked.items() if value is not None}
    try:
        growth = Growth.model_validate({**dict(case.growth), **changes})
    except ValidationError as error:
        raise RequestError(_sentence(error)) from error
    return case.model_copy(update={"growth": growth})


def _sentence(error: ValidationError) -> str:
    first = error.errors()[0]
    return f"{first['loc'][0]}: {first['input']} is not allowed. {first['msg']}."
