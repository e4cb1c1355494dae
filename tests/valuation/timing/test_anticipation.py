"""Work that is certain to come is fitted for before it comes: figures worked by hand."""

import numpy as np
import pytest

from optioneer.model.case import Case
from tests.oracle.cases import anticipation
from tests.valuation.engine import engine
from tests.valuation.timing.test_paths import lived

PROBE = frozenset(["probe"])


def fitted_in(case: Case) -> set[int]:
    """Periods in which the bare machine is fitted with its one option, over all futures."""
    found = engine(case)
    (lattice,) = found.problem.lattices
    bare = next(s for s in range(lattice.size) if not lattice.options(s))
    _, forward = lived(found, 0, bare)
    return set(forward.fitted_in[0].tolist())


def test_it_is_fitted_a_year_before_and_costs_what_the_hand_says() -> None:
    # 20,000 at 1.02 times at the start of year 1, works in year 2 with 15,000 a year to come from
    # the middle of year 2 on; 500 of upkeep from year 2 on. Five years at 10 %.
    v = 1 / 1.1
    retrofit = 20400 * v
    upkeep = 500 * (v**2.5 + v**3.5 + v**4.5)
    case = anticipation()
    assert fitted_in(case) == {1}
    learned = engine(case).learned
    assert learned[frozenset()] == pytest.approx(np.full(16, 100e3 + retrofit + upkeep), abs=1e-6)


def test_ordering_it_costs_two_years_of_upkeep_more_and_the_multiplier_less() -> None:
    v = 1 / 1.1
    upkeep = 500 * sum(v ** (t + 0.5) for t in range(5))
    learned = engine(anticipation()).learned
    assert learned[PROBE] == pytest.approx(np.full(16, 120e3 + upkeep), abs=1e-6)


def test_the_rule_alone_waits_for_the_work_and_loses_a_year() -> None:
    v = 1 / 1.1
    retrofit, late = 20400 * v**2, 15e3 * v**2.5
    upkeep = 500 * (v**3.5 + v**4.5)
    rule = engine(anticipation()).rule
    assert rule[frozenset()] == pytest.approx(
        np.full(16, 100e3 + retrofit + late + upkeep), abs=1e-6
    )


def test_hindsight_does_what_the_learned_policy_does() -> None:
    found = engine(anticipation())
    assert found.hindsight[frozenset()] == pytest.approx(found.learned[frozenset()], abs=1e-6)
