"""What the dealer should credit for a standard item that is left off."""

from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Bools
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.study.bargain.turning_price import ordering_gap, with_option
from optioneer.study.problem.clusters import clusters
from optioneer.study.problem.effort import Effort
from optioneer.study.worth.repricing import repriced
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.policy import Mapper


@dataclass(frozen=True)
class _Without:
    """The case in which a standard item may be left off for a credit."""

    found: Valued
    cluster: int
    credit: float


def least_credit(found: Valued, option: Option, run: Mapper) -> float | None:
    """Credit from which on it pays to leave the slot of a standard item empty [money].

    None where the machine cannot do without it: nobody could fit it later, or other options always
    need it.

    Notes
    -----
    A credit counts in proportion, and nothing else hangs on it: its turn is exact. An item that the
    dealer gives no credit for is looked at as if he gave 0.
    """
    bench = _without(found, option, run)
    if bench is None:
        return None
    index = found.problem.options.index(option.option)
    empty = _empty(bench.found.costs[bench.cluster].lattice, index)
    more = ordering_gap(bench.found, bench.cluster, empty)
    if not np.isfinite(more):
        return None
    return max(bench.credit + more / found.problem.order_factor, 0.0)


def _without(found: Valued, option: Option, run: Mapper) -> _Without | None:
    index = found.problem.options.index(option.option)
    cluster = found.cluster_of(index)
    if option.delete_credit is not None:
        return _Without(found, cluster, option.delete_credit)
    if not option.retrofittable:
        return None
    case = with_option(found.case, option.model_copy(update={"delete_credit": 0.0}))
    if _slots(case) == _slots(found.case):
        return _Without(repriced(found, case, cluster, run), cluster, 0.0)
    other = valued_case(case, effort=Effort(swept=None))  # hours tie other slots together
    return _Without(other, other.cluster_of(index), 0.0)


def _slots(case: Case) -> list[list[str]]:
    return [[slot.name for slot in slots] for slots in clusters(case)]


def _empty(lattice: Lattice, option: int) -> Bools:
    """States in which the slot of an option holds nothing, shape (P,)."""
    axis = next(i for i, levels in enumerate(lattice.fitted) if option in levels)
    return np.asarray(lattice.levels[axis] == lattice.fitted[axis].index(-1))
