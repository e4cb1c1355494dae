"""What the regression makes of signals that say nothing."""

import numpy as np

from optioneer.valuation.timing.learning import inverses


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
