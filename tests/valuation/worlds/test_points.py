"""Sobol points against the reference library."""

import subprocess
import sys

import numpy as np
import pytest
from scipy.stats import qmc

from optioneer.valuation.worlds.points import BITS, sobol_points


@pytest.mark.parametrize("dimensions", [1, 2, 17, 300])
@pytest.mark.parametrize("count", [1, 2, 5, 64, 1000])
@pytest.mark.parametrize("seed", [0, [7, 1, 15, 0]])
def test_points_are_those_of_scipy_to_the_last_bit(
    dimensions: int, count: int, seed: int | list[int]
) -> None:
    """SciPy, `scipy.stats.qmc.Sobol`, scrambled, 30 bits."""
    own = sobol_points(dimensions, count, np.random.default_rng(seed))
    rng = np.random.default_rng(seed)
    engine = qmc.Sobol(dimensions, bits=BITS, scramble=True, rng=rng)
    reference = engine.random_base2(int(np.ceil(np.log2(count))))[:count].T
    assert np.array_equal(own, reference)


def test_advice_is_given_without_slow_libraries_that_it_does_not_need() -> None:
    code = (
        "import sys, optioneer.study.advice.advice, optioneer.reports.advice.pages\n"
        "print([m for m in ('scipy.stats', 'scipy.optimize') if m in sys.modules])"
    )
    shown = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert shown.stdout.strip() == "[]"
