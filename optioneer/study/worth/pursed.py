"""A case whose retrofits are fitted only where the account can pay them."""

from collections import OrderedDict
from collections.abc import Collection
from dataclasses import dataclass, field, fields, replace
from functools import cached_property, partial

import numpy as np

from optioneer.arrays import Floats
from optioneer.errors import CaseError
from optioneer.model.case import Case
from optioneer.model.paying import AnyPlan
from optioneer.study.cash.plans import paying_of, plan_of
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Effort, Progress
from optioneer.study.problem.futures import FEWEST_LESSONS
from optioneer.study.site_costs.site_bills import States
from optioneer.study.site_costs.site_cost import SiteTerm
from optioneer.study.worth.packages import package_holding
from optioneer.study.worth.purse import (
    Income,
    Life,
    Purse,
    Refusals,
    added_cost,
    income,
    life,
    refusals,
    whole_journeys,
)
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.shared_hours.real_mix import MixTerm
from optioneer.valuation.timing.journey import Journey
from optioneer.valuation.timing.policy import Mapper
from optioneer.valuation.timing.sweep import hindsight_cost

MOST_LIVES = 64
"""Packages of single clusters whose lives are held at once; each takes some megabytes."""


@dataclass(frozen=True)
class Pursed(Valued):
    """A valued case whose retrofits are fitted only where the account can pay them.

    Parameters
    ----------
    purse
        The account.

    Notes
    -----
    The account ties all clusters and all options together, so that no lattice holds what a package
    costs: each is lived through by itself. What costs more although every retrofit is paid is not
    looked at, for a refusal saves nothing but by accident of the policy.
    """

    purse: Purse = field(kw_only=True)
    bests: dict[float | None, States] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    _lives: OrderedDict[tuple[int, int], Life] = field(
        default_factory=OrderedDict, init=False, compare=False, repr=False
    )
    _refusals: dict[States, Refusals] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )
    _costs: dict[States, Floats] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    @cached_property
    def free(self) -> Valued:
        """The same with every retrofit paid."""
        return Valued(**{each.name: getattr(self, each.name) for each in fields(Valued)})

    @cached_property
    def site(self) -> SiteTerm:
        """See `Valued`."""
        return self.free.site

    @cached_property
    def mix(self) -> MixTerm:
        """See `Valued`."""
        return self.free.mix

    @cached_property
    def _income(self) -> Income:
        return income(self.free)

    @cached_property
    def still(self) -> tuple[Floats, ...]:
        """Mean cost of every state that nothing is ever fitted to, shape (P,) a cluster [money]."""
        return tuple(self._still(cost.lattice) for cost in self.costs)

    def _still(self, lattice: Lattice) -> Floats:
        views = self.world.views(replace(lattice, targets=()))
        total = sum(hindsight_cost(view).sum(axis=1) for view in views)
        return np.asarray(total / self.world.valued.count + lattice.price)

    def cost(self, package: States) -> Floats:
        """NPC of `package` in each future, retrofits only where they can be paid, shape (N,)."""
        if package not in self._costs:
            one, cost = self.refusals(package), self.free.cost(package)
            cost[one.some] += added_cost(self._lives_of(package), self.free, one)
            self._costs[package] = cost
        return self._costs[package]

    def mean(self, package: States) -> float:
        """Mean NPC; infinite where the way of paying cannot be kept for its price [money]."""
        try:
            return float(self.cost(package).mean())
        except CaseError:
            return np.inf

    def beyond(self, other: States, chosen: States) -> Floats:
        """See `Valued`."""
        return self.cost(other) - self.cost(chosen)

    def journeys(self, package: States) -> tuple[Journey, ...]:
        """What happens to `package` after the order, one a cluster."""
        return whole_journeys(self._lives_of(package), self.refusals(package))

    def refusals(self, package: States) -> Refusals:
        """What becomes of `package` where a retrofit cannot be paid."""
        if package not in self._refusals:
            ordered = package_holding(self.case, "ordered", self.options(package))
            self._refusals[package] = refusals(
                self._lives_of(package),
                self.free,
                package,
                self._income,
                self.purse.money_left(ordered),
            )
        return self._refusals[package]

    def share_refused(self, package: States) -> float:
        """Share of futures in which a retrofit could not be paid when it was wanted."""
        return len(self.refusals(package).some) / self.world.valued.count

    def unpaid(self, package: States, options: Collection[int]) -> float:
        """Share of futures in which any of some options is fitted too late, or never, for money.

        Parameters
        ----------
        options
            Indices of options of one cluster.
        """
        cluster, one = self.cluster_of(min(options)), self.refusals(package)
        if cluster not in one.walked:
            return 0.0
        wanted = self._life(cluster, package[cluster]).journey.fitted_in[:, one.some]
        late = one.walked[cluster].fitted_in > wanted
        targets = self.costs[cluster].lattice.targets
        rows = [i for i, target in enumerate(targets) if target.option in options]
        return float(late[rows].any(axis=0).sum()) / self.world.valued.count

    def in_slot_of(self, option: int) -> frozenset[int]:
        """Indices of the options of the slot that an option is in."""
        fitted = self.costs[self.cluster_of(option)].lattice.fitted
        (own,) = (slot for slot in fitted if option in slot)
        return frozenset(one for one in own if one >= 0)

    def _lives_of(self, package: States) -> list[Life]:
        return [self._life(cluster, state) for cluster, state in enumerate(package)]

    def _life(self, cluster: int, state: int) -> Life:
        key = cluster, state
        if key not in self._lives:
            self._lives[key] = life(self.free, cluster, state)
            if len(self._lives) > max(MOST_LIVES, 2 * len(self.costs)):
                self._lives.popitem(last=False)
        self._lives.move_to_end(key)
        return self._lives[key]


def with_purse(found: Valued, plan: AnyPlan | None) -> Pursed:
    """A valued case with retrofits fitted only where the account can pay them.

    Parameters
    ----------
    found
        No cluster of it was searched.
    plan
        The way of paying that is counted on; none: all is paid at the order.
    """
    if isinstance(found, Pursed) and found.purse.plan == plan:
        return found
    facts = {each.name: getattr(always_paid(found), each.name) for each in fields(Valued)}
    return Pursed(**facts, purse=Purse(found.case, plan))


def always_paid(found: Valued) -> Valued:
    """The same with every retrofit paid, whatever is in the account."""
    return found.free if isinstance(found, Pursed) else found


def from_account(case: Case) -> bool:
    """Whether retrofits of a case are fitted only where its account can pay them."""
    return case.paying is not None and case.paying.account.retrofits == "account"


def valued_as_paid(
    case: Case,
    *,
    effort: Effort | None = None,
    fewest_lessons: int = FEWEST_LESSONS,
    progress: Progress | None = None,
    far: Mapper | None = None,
    bounds: bool = True,
) -> Valued:
    """`case` with every package valued, retrofits paid from where the case says.

    Parameters as for `valued_case`.

    Raises
    ------
    RequestError
        Retrofits are paid from the account, and no way of paying is told.
    TooLargeError
        They are, and a cluster has too many packages to value them all.
    """
    value = partial(
        valued_case, case, fewest_lessons=fewest_lessons, progress=progress, far=far, bounds=bounds
    )
    if not from_account(case):
        return value(effort=effort)
    must_be_swept(case, '[account] retrofits = "account"')
    used = paying_of(case).use
    spent = replace(effort or Effort(), swept=None)
    return with_purse(value(effort=spent), None if used is None else plan_of(case, used))
