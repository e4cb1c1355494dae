"""A valued case as a worker has to know it: what packages cost on average, not in each future."""

from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.study.worth.far import Drawn, problem_and_world
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.timing.cluster import ClusterCost
from optioneer.valuation.timing.policy import Policy


@dataclass(frozen=True)
class ToldCosts:
    """What a worker has to know of a valued case.

    Parameters
    ----------
    case, order_factor
        The case, and the present value of paying for the order.
    means
        Mean cost of every state, shape (P,) a cluster [money].
    """

    case: Case
    order_factor: float
    means: tuple[Floats, ...]


def valued_as_told(told: ToldCosts) -> Valued:
    """The valued case without costs by future, for whoever asks for means only."""
    problem, world = problem_and_world(Drawn(told.case, told.order_factor))
    none = np.empty(0)
    costs = tuple(
        ClusterCost(lattice, Policy(), none, none, none, none) for lattice in problem.lattices
    )
    found = Valued(told.case, problem, world, costs)
    vars(found)["means"] = told.means
    return found
