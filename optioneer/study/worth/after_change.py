"""A case a little changed, valued with what was found of it before: quick, as a slider moves.

Prices of an hour and retrofit policies are looked for only once: what is done after the order is
what was best before the change, and what that costs is exact for the changed case.
"""

from dataclasses import replace

from optioneer.model.case import Case
from optioneer.study.cash.financing import used_factor
from optioneer.study.problem.arrays import Problem, problem_of
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.futures import at_list_prices, futures_of, with_draws
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued, must_be_finite
from optioneer.valuation.cache.content import swept_name
from optioneer.valuation.cache.swept import cost_at_prices, cost_under
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.lattice.view import Pricing
from optioneer.valuation.shared_hours.hour_prices import members_of
from optioneer.valuation.shared_hours.shop import Shop
from optioneer.valuation.timing.cluster import ClusterCost, World
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.signals import Signals
from optioneer.valuation.worlds.scores import scores


def valued_after(before: Valued, case: Case, progress: Progress | None = None) -> Valued | None:
    """`case` on as many futures as `before`, with the policies and shares of hours found there.

    None where they do not fit: other periods, other work or other choices, retrofits that are paid
    from the account, clusters that were searched.

    Parameters
    ----------
    before
        The case before the change, valued with policies that it learned.
    """
    case = with_first_chips(with_draws(case, before.world.valued.count))
    problem = problem_of(case, order_factor=used_factor(case))
    if isinstance(before, Pursed) or before.searches or not _alike(before.problem, problem):
        return None
    world = _world(before, case, problem)
    if (world.shop is None) != (before.world.shop is None):
        return None
    costs = []
    for cost, lattice in zip(before.costs, problem.lattices, strict=True):
        own = _cost_after(cost, before.world, lattice, world)
        if own is None:
            return None
        costs.append(own)
        if progress is not None:
            progress(len(costs) / len(problem.lattices))
    found = Valued(case, problem, world, tuple(costs))
    must_be_finite(found)
    return found


def _alike(before: Problem, after: Problem) -> bool:
    """Whether both have the same choices in the same periods."""
    ours, theirs = ([_choices(one) for one in each.lattices] for each in (before, after))
    return (
        ours == theirs
        and before.timeline.periods == after.timeline.periods
        and before.timeline.periods_per_year == after.timeline.periods_per_year
        and before.growth.keys == after.growth.keys
        and before.together == after.together
        and (before.attendance is None) == (after.attendance is None)
    )


def _choices(lattice: Lattice) -> tuple[object, ...]:
    targets = tuple((target.axis, target.level, target.option) for target in lattice.targets)
    streams = tuple(lattice.streams.tolist())
    return (
        lattice.names,
        lattice.fitted,
        lattice.levels.tolist(),
        streams,
        targets,
        lattice.valid.tolist(),
    )


def _world(before: Valued, case: Case, problem: Problem) -> World:
    """The draws of the case; nothing is learned on them, so that lessons stay as they are."""
    growth = problem.growth
    return replace(
        before.world,
        timeline=problem.timeline,
        growth=growth,
        scores=scores(growth, problem.timeline) if growth.loadings.any() else None,
        valued=futures_of(case, problem, before.world.valued.count, use=0),
        attendance=problem.attendance,
        shop=_shop(before.world.shop, case, problem),
        kept=None,
    )


def _shop(before: Pricing | None, case: Case, problem: Problem) -> Pricing | None:
    """The shop as it is now, its ways taken for owned as they were; none where that is unknown."""
    if not isinstance(before, Shop):
        return None
    now = members_of(at_list_prices(case, problem)).shop
    if now.shares.shape[1] != before.shares.shape[1]:
        return None
    return replace(now, shares=before.shares)


def _cost_after(
    cost: ClusterCost, before: World, lattice: Lattice, world: World
) -> ClusterCost | None:
    """What the packages of a cluster cost now; none where its policy looks at other things."""
    if swept_name(before, cost.lattice) == swept_name(world, lattice):
        same = cost_at_prices(world, cost, lattice)
        if same is not None:
            return same
    policy = _policy_for(cost, lattice, world)
    return None if policy is None else cost_under(world, lattice, policy)


def _policy_for(cost: ClusterCost, lattice: Lattice, world: World) -> Policy | None:
    """The policy of a cluster for its lattice as it is now; none where it looks at other things."""
    policy = cost.policy
    if policy.signals is None:
        return policy
    signals = Signals(lattice, world.growth, world.timeline)
    return replace(policy, signals=signals) if signals.kinds == policy.signals.kinds else None
