"""Variance split over inputs, against two functions whose indices are known in closed form.

Ishigami function, a = 7, b = .1, inputs uniform on -pi..pi: T. Ishigami & T. Homma, ISUMA 1990;
variance 13.8446, first-order .3139, .4424, 0, total .5576, .4424, .2437: the expected output of the
public test t_FunctionalChaosSobolIndices_ishigami of the library OpenTURNS, and A. Saltelli et al.,
Global Sensitivity Analysis: The Primer, Wiley 2008, as quoted by the library SALib.

g-function of Sobol, a = (0, 1, 4.5, 9, 99, 99, 99, 99): A. Saltelli & I. M. Sobol, Reliability
Engineering & System Safety 50 (1995) 225-239; formulas as in SALib, test_functions/Sobol_G.py.

SALib's own estimates on its own sample are a second witness.
"""

import numpy as np
import pytest
from SALib.analyze import (  # type: ignore[import-untyped]  # no stubs
    sobol as salib_analyze,
)
from SALib.sample import (  # type: ignore[import-untyped]  # no stubs
    sobol as salib_sample,
)

from optioneer.arrays import Floats
from optioneer.valuation.figures.sobol import Function, Split, variance_split

A = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0])


def ishigami(u: Floats) -> Floats:
    """One answer, shape (1, n), from inputs in 0..1."""
    x = np.pi * (2.0 * u - 1.0)
    return np.asarray(np.sin(x[0]) + 7.0 * np.sin(x[1]) ** 2 + 0.1 * x[2] ** 4 * np.sin(x[0]))[None]


def g_function(u: Floats) -> Floats:
    """One answer, shape (1, n)."""
    factors = (np.abs(4.0 * u - 2.0) + A[:, None]) / (1.0 + A[:, None])
    return np.asarray(np.prod(factors, axis=0))[None]


@pytest.fixture(scope="module")
def of_ishigami() -> Split:
    return variance_split(ishigami, 3, points=4096, seed=7)


@pytest.fixture(scope="module")
def of_g() -> Split:
    return variance_split(g_function, 8, points=4096, seed=7)


def test_ishigami(of_ishigami: Split) -> None:
    assert of_ishigami.deviation[0] ** 2 == pytest.approx(13.8446, rel=0.01)
    assert of_ishigami.first.share[0] == pytest.approx([0.3139, 0.4424, 0.0], abs=0.01)
    assert of_ishigami.total.share[0] == pytest.approx([0.5576, 0.4424, 0.2437], abs=0.01)


def test_g_function(of_g: Split) -> None:
    own = 1.0 / (3.0 * (1.0 + A) ** 2)
    variance = np.prod(1.0 + own) - 1.0
    assert variance == pytest.approx(0.46542443, abs=1e-8)  # the published formulas, evaluated
    assert of_g.deviation[0] ** 2 == pytest.approx(variance, rel=0.02)
    assert of_g.first.share[0] == pytest.approx(own / variance, abs=0.01)
    total = own * (variance + 1.0) / (1.0 + own) / variance
    assert total[:4] == pytest.approx([0.78714413, 0.24219819, 0.03431691, 0.01046039], abs=1e-8)
    assert of_g.total.share[0] == pytest.approx(total, abs=0.01)


def test_the_intervals_hold_what_is_known(of_ishigami: Split, of_g: Split) -> None:
    for found, first in [(of_ishigami, [0.31390519, 0.44241114]), (of_g, [0.71619217, 0.17904804])]:
        low, high = found.first.low[0][:2], found.first.high[0][:2]
        assert (low < first).all()
        assert (first < high).all()
        assert (high - low < 0.1).all()


@pytest.mark.parametrize("function", [ishigami, g_function])
def test_another_library_finds_the_same(function: Function) -> None:
    inputs = 3 if function is ishigami else 8
    problem = {"num_vars": inputs, "names": [str(i) for i in range(inputs)]}
    problem["bounds"] = [[0.0, 1.0]] * inputs
    sample = salib_sample.sample(problem, 4096, calc_second_order=False, seed=1)
    told = salib_analyze.analyze(
        problem, function(sample.T)[0], calc_second_order=False, num_resamples=10, seed=1
    )
    found = variance_split(function, inputs, points=4096, seed=7)
    assert found.first.share[0] == pytest.approx(told["S1"], abs=0.02)
    assert found.total.share[0] == pytest.approx(told["ST"], abs=0.02)


def test_several_answers_are_split_side_by_side_and_a_still_one_is_not_moved() -> None:
    def three(u: Floats) -> Floats:
        return np.stack([u[0], 3.0 + 0.0 * u[0], u[0] + u[1]])

    found = variance_split(three, 2, points=256, seed=0)
    assert found.first.share == pytest.approx(np.array([[1, 0], [0, 0], [0.5, 0.5]]), abs=0.02)
    assert found.deviation == pytest.approx([12**-0.5, 0.0, 6**-0.5], abs=0.01)
    again = variance_split(three, 2, points=256, seed=0)
    assert (again.total.low == found.total.low).all()
