"""One retrofit of one swinging stream, as the engine values it and as an option on its margin."""

from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import hindsight_cost, policy_costs
from optioneer.valuation.worlds.futures import Futures
from tests.oracle.cases import case_of, certain, option, stream
from tests.oracle.waiting import Array, Waiting, fitted_at, waiting
from tests.valuation.engine import Engine, engine, futures


def open_retrofit(
    margin: float, swing: float, *, price: float = 40e3, grows: float = 0.0, **growth: Any
) -> Case:
    """A stream that is there from the start, and the one option it needs.

    Ten years of quarters at 9 % unless told; the retrofit costs `price` at the order date's level.
    """
    work = stream("work", certain(0.0), margin, ["probe"], swing=swing, growth=grows)
    clock = {"horizon_years": 10.0, "periods_per_year": 4, "discount_rate": 0.09}
    return case_of([option("probe", price, 1.0)], [work], growth=clock | growth)


@dataclass(frozen=True)
class Retrofit:
    """The machine without the option, its retrofit left open.

    Parameters
    ----------
    case
        From `open_retrofit`.
    count
        Futures to value on; the policy is learned from as many as `advice` would for 4,096.
    """

    case: Case
    count: int = 16384

    @cached_property
    def margin(self) -> Array:
        """Expected margin of each period, discounted, shape (T,); straight from the model."""
        growth, stream = self.case.growth, self.case.growth.stream[0]
        years = np.arange(growth.periods) / growth.periods_per_year
        middle = self.case.dates.lead_years + years + 0.5 / growth.periods_per_year
        worth = (1 + growth.discount_rate) ** -middle * (1 + stream.growth) ** years
        return np.asarray(stream.margin.likely * worth / growth.periods_per_year)

    @cached_property
    def worth(self) -> Array:
        """What fitting at the start of t brings for W = 1, shape (T,): margins from t + 1 on."""
        left = self.margin[::-1].cumsum()[::-1]
        return np.append(left[1:], 0.0)

    @cached_property
    def price(self) -> Array:
        """What fitting at the start of t costs, discounted, shape (T,)."""
        growth, (probe,) = self.case.growth, self.case.catalogue.options
        start = self.case.dates.lead_years + np.arange(growth.periods) / growth.periods_per_year
        ratio = (1 + growth.retrofit_inflation) / (1 + growth.discount_rate)
        return np.asarray(probe.price * ratio**start)

    @property
    def volatility(self) -> float:
        """Standard deviation of log W over a period."""
        growth = self.case.growth
        return float(growth.stream[0].swing / np.sqrt(growth.periods_per_year))

    @cached_property
    def exact(self) -> Waiting:
        """The open retrofit on the lattice."""
        return self.on_lattice(steps=50)

    def on_lattice(self, steps: int) -> Waiting:
        """The same with some other number of steps a period."""
        return waiting(self.worth, self.price, volatility=self.volatility, steps=steps)

    @cached_property
    def engine(self) -> Engine:
        """The engine on the case."""
        found = engine(self.case)
        return engine(self.case, futures(found.problem, self.count))

    @property
    def futures(self) -> Futures:
        """The futures valued on."""
        return self.engine.world.valued

    @cached_property
    def w(self) -> Floats:
        """W in each period and future, shape (T, N)."""
        (path,) = self.futures.log_swing
        if path is None:
            raise ValueError("the margin of the case does not swing")
        return np.asarray(np.exp(path - path[0]))

    @cached_property
    def never(self) -> Floats:
        """Cost of never fitting it in each future, shape (N,)."""
        return np.asarray(self.margin @ self.w)

    def followed(self, trigger: Array) -> Floats:
        """What fitting at a trigger saves over never doing so in each future, shape (N,)."""
        when = fitted_at(self.w, trigger)
        last = len(self.w)
        later = np.arange(last)[:, None] > when
        paid = np.append(self.price, 0.0)[when]
        return np.asarray((self.margin[:, None] * self.w * later).sum(axis=0) - paid)

    @cached_property
    def saved(self) -> dict[str, Floats]:
        """What the engine's open retrofit saves over never in each future, shape (N,) each."""
        found = self.engine
        (lattice,), (policy,) = found.problem.lattices, found.policies
        view = found.view(lattice)
        rule, learned = policy_costs(view, [Policy(), policy])
        costs = {"hindsight": hindsight_cost(view), "rule": rule, "learned": learned}
        return {how: np.asarray(self.never - cost[0]) for how, cost in costs.items()}

    def missed(self, how: str, lattice: Waiting | None = None) -> Floats:
        """What a policy misses of what the lattice's trigger saves in each future, shape (N,)."""
        trigger = (self.exact if lattice is None else lattice).trigger
        return self.followed(trigger) - self.saved[how]
