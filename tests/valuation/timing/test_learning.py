"""What the regression makes of signals that say nothing."""

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.valuation.timing.learning import _correction, _Moments, _ruled_states, inverses


def test_a_signal_that_is_nothing_in_every_lesson_gets_no_slope() -> None:
    """A rounding error of the decomposition once passed for a slope of 1e139."""
    rng = np.random.default_rng(3)
    signals = rng.random((12, 300))
    signals[[4, 9]] = 0.0
    inverse = inverses((signals @ signals.T)[None])[0]
    assert not inverse[[4, 9]].any()
    assert not inverse[:, [4, 9]].any()
    told = np.delete(np.arange(12), [4, 9])
    kept = signals[told]
    expected = np.linalg.inv(kept @ kept.T)
    np.testing.assert_allclose(inverse[np.ix_(told, told)], expected, rtol=1e-8, atol=1e-10)


def moments(cost: Floats, rule: Floats, signals: Floats) -> _Moments:
    """What is summed up over the lessons, each sum on its own."""
    left = cost - rule
    return _Moments(
        left=np.array([[s @ own for own in left] for s in signals]),
        rule=np.array([[s @ own for own in rule] for s in signals]),
        rule_rule=np.array([own @ own for own in rule]),
        rule_left=np.array([own @ rest for own, rest in zip(rule, left, strict=True)]),
        low=cost.min(axis=1),
        high=cost.max(axis=1),
    )


@pytest.mark.parametrize("weights", [(1.0, 1.0), (0.4, 1.7), (2.5, 0.0)])
def test_what_is_a_sum_of_the_rule_and_the_signals_is_learned_as_it_is(
    weights: tuple[float, float],
) -> None:
    """Two states and three signals, the first a constant: a regression without a rest."""
    rng = np.random.default_rng(8)
    signals = np.vstack([np.ones(200), rng.normal(size=(2, 200))])
    rule = 1e3 * rng.normal(size=(2, 200)) + 4e3
    slope = 1e3 * rng.normal(size=(2, 3))
    cost = np.array(weights)[:, None] * rule + slope @ signals
    inverse = inverses((signals @ signals.T)[None])[0]
    learned = _correction(moments(cost, rule, signals), inverse)
    assert learned.weight == pytest.approx(weights, abs=1e-9)
    assert learned.slope == pytest.approx(slope, rel=1e-9)
    assert learned.estimate(rule, signals) == pytest.approx(cost, rel=1e-9)
    beyond = learned.estimate(10.0 * rule, signals)
    assert (beyond <= cost.max(axis=1)[:, None]).all()
    assert (beyond >= cost.min(axis=1)[:, None]).all()


@pytest.mark.parametrize("edges", [[], [2], [1, 3]])
@pytest.mark.parametrize(
    ("mean", "spread", "ruled"),
    [(0.4, 1.0, True), (0.6, 1.0, False), (-3.0, 1.0, True), (0.01, 0, False), (-0.01, 0, True)],
)
def test_the_rule_is_followed_unless_a_standard_error_is_saved(
    mean: float,
    spread: float,
    ruled: bool,  # noqa: FBT001 - a case of the table
    edges: list[int],
) -> None:
    """Four lessons of which half lie as far above as below: an error of half the spread."""
    saved = mean + spread * np.array([[-1.0, 1.0, 1.0, -1.0], [-1.0, -1.0, 1.0, 1.0]])
    assert _ruled_states(np.split(saved, edges, axis=1)).tolist() == [ruled, ruled]
