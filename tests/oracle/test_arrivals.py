"""How likely combinations of arrivals are, held against closed forms and scipy's distributions."""

from itertools import product
from math import asin, pi, sqrt

import numpy as np
import pytest
from scipy import stats
from scipy.special import ndtr, ndtri

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Stream
from tests.oracle.arrivals import joint, marginal, share_before
from tests.oracle.cases import between, case_of, certain, stream


def correlated(chances: list[float], loadings: list[dict[str, float]], nudge: float = 0.0) -> Case:
    """Streams that come in period 0 or never, on drivers of which the first is nudged."""
    streams = [
        stream(f"work-{k}", certain(0.5), 0.0, [], chance=chance, drivers=loading)
        for k, (chance, loading) in enumerate(zip(chances, loadings, strict=True))
    ]
    names = sorted({name for loading in loadings for name in loading})
    drivers = tuple(Driver(id=name, nudge=0.0 if k else nudge) for k, name in enumerate(names))
    return case_of([], streams, growth={"horizon_years": 1.0, "driver": drivers})


def test_the_triangular_distribution_is_that_of_scipy() -> None:
    for low, likely, high in [(0.0, 1.0, 4.0), (1.0, 1.0, 3.0), (1.0, 3.0, 3.0)]:
        law = stats.triang((likely - low) / (high - low), loc=low, scale=high - low)
        for moment in np.linspace(-0.5, 4.5, 41):
            found = share_before(between(low, likely, high), float(moment))
            assert found == pytest.approx(float(law.cdf(moment)), abs=1e-12)


def test_a_certain_moment_at_the_start_of_a_period_falls_in_that_period() -> None:
    case = case_of([], [], growth={"horizon_years": 3.0})
    found = marginal(case, stream("work", certain(1.0), 0.0, [], chance=0.7))
    assert found == pytest.approx([0.0, 0.7, 0.0, 0.3])


def test_an_arrival_beyond_the_horizon_is_never() -> None:
    # years 0, 0, 4: F(x) = 1 - (4 - x)^2 / 16; by 1, 2, 3 years 7/16, 12/16, 15/16.
    case = case_of([], [], growth={"horizon_years": 3.0})
    found = marginal(case, stream("work", between(0.0, 0.0, 4.0), 0.0, [], chance=0.8))
    assert found == pytest.approx([0.8 * 7 / 16, 0.8 * 5 / 16, 0.8 * 3 / 16, 1 - 0.8 * 15 / 16])


def test_independent_streams_multiply() -> None:
    streams = [
        stream("one", between(0.0, 1.0, 4.0), 0.0, [], chance=0.8),
        stream("two", between(1.0, 2.0, 7.0), 0.0, [], chance=0.5),
    ]
    case = case_of([], streams)
    parts = [marginal(case, one) for one in streams]
    np.testing.assert_allclose(joint(case), np.outer(*parts), rtol=1e-15)


@pytest.mark.parametrize("rho", [0.3, 0.5, 0.7, 0.9, -0.3])
def test_two_even_chances_come_together_by_sheppards_formula(rho: float) -> None:
    # 1/4 + asin(rho) / (2 pi): Sheppard's orthant formula, from memory.
    loadings = [{"automation": sqrt(abs(rho))}, {"automation": rho / sqrt(abs(rho))}]
    both = joint(correlated([0.5, 0.5], loadings))[0, 0]
    assert both == pytest.approx(0.25 + asin(rho) / (2 * pi), abs=1e-12)


def test_three_even_chances_on_two_drivers_come_together_by_the_orthant_formula() -> None:
    # 1/8 + 3 asin(rho) / (4 pi) with equal rho = 1/2 is 1/4; from memory.
    loadings = [{"a": 0.5, "b": 0.5}, {"a": 0.5, "b": 0.5}, {"a": 0.5, "b": 0.5}]
    assert joint(correlated([0.5] * 3, loadings))[0, 0, 0] == pytest.approx(0.25, abs=1e-12)


@pytest.mark.parametrize(
    ("x", "y", "rho", "both"),
    [(0, -0.5, -0.5, 0.081660), (0, 0.5, 0.5, 0.418340), (-0.5, -0.5, 0.5, 0.163319)],
)
def test_bivariate_normal_table(x: float, y: float, rho: float, both: float) -> None:
    # QuantLib test-suite, distributions.cpp, quoting Haug, Option Pricing Formulas (1998), p. 193.
    loadings = [{"automation": sqrt(abs(rho))}, {"automation": rho / sqrt(abs(rho))}]
    case = correlated([float(ndtr(x)), float(ndtr(y))], loadings)
    assert joint(case)[0, 0] == pytest.approx(both, abs=6e-7)


def test_a_nudge_shifts_a_chance_by_its_loading() -> None:
    # z shifts by loading * nudge: chance Phi(Phi^-1(0.5) + 0.6 * 0.5).
    case = correlated([0.5], [{"automation": 0.6}], nudge=0.5)
    assert joint(case)[0] == pytest.approx(float(ndtr(0.3)), abs=1e-12)


def streams_on_two_drivers() -> list[Stream]:
    years = between(0.0, 1.0, 4.0)
    return [
        stream("one", years, 0.0, [], chance=0.7, drivers={"a": 0.6, "b": 0.5}),
        stream("two", years, 0.0, [], chance=0.4, drivers={"a": 0.7, "b": -0.3}),
    ]


def test_every_combination_of_arrivals_is_a_rectangle_of_the_bivariate_normal() -> None:
    streams = streams_on_two_drivers()
    drivers = (Driver(id="a"), Driver(id="b"))
    case = case_of([], streams, growth={"horizon_years": 3.0, "driver": drivers})
    law = stats.multivariate_normal(cov=[[1, 0.27], [0.27, 1]])
    before = [[s.mean_chance * share_before(s.years, t) for t in (1, 2, 3)] for s in streams]
    edges = [[-8.0, *map(float, ndtri(chances)), 8.0] for chances in before]
    for i, j in product(range(4), repeat=2):
        (a, b), (c, d) = edges[0][i : i + 2], edges[1][j : j + 2]
        expected = law.cdf([b, d]) - law.cdf([a, d]) - law.cdf([b, c]) + law.cdf([a, c])
        assert joint(case)[i, j] == pytest.approx(float(expected), abs=1e-8)


def test_a_driver_leaves_each_streams_own_chances_alone() -> None:
    streams = streams_on_two_drivers()
    drivers = (Driver(id="a"), Driver(id="b"))
    case = case_of([], streams, growth={"driver": drivers})
    for axis, one in enumerate(streams):
        found = joint(case).sum(axis=1 - axis)
        np.testing.assert_allclose(found, marginal(case, one), atol=1e-13)


def test_a_stream_that_is_all_driver_is_refused() -> None:
    with pytest.raises(ValueError, match="work-0"):
        joint(correlated([0.5], [{"automation": 1.0}]))
