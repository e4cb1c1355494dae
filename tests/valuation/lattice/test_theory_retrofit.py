"""An open retrofit of a swinging stream against an independent binomial lattice.

`tests.oracle.waiting` tells why the open retrofit is an option on the margin that can be used at
the start of every period, once. The lattice knows nothing of the engine; its trigger, carried out
on the engine's own paths, shows what the engine's learned policy misses future by future, so that
sampling error hardly blurs the gap.
"""

import numpy as np
import pytest

from optioneer.valuation.figures.summary import standard_error
from tests.oracle.waiting import waiting
from tests.valuation.lattice.retrofit import Retrofit, open_retrofit

CASES = {
    "far": Retrofit(open_retrofit(6e3, 0.25)),
    "near": Retrofit(open_retrofit(9e3, 0.25)),
    "wild and far": Retrofit(open_retrofit(6e3, 0.5)),
    "wild and near": Retrofit(open_retrofit(9e3, 0.5)),
    "wild and due": Retrofit(open_retrofit(12e3, 0.5)),
    "dearer every year": Retrofit(open_retrofit(9e3, 0.4, retrofit_inflation=0.04, grows=0.02)),
}


@pytest.mark.parametrize("name", CASES)
def test_hindsight_saves_most_then_the_optimum_then_the_learned_policy(name: str) -> None:
    retrofit = CASES[name]
    exact, learned = retrofit.exact.value, retrofit.saved["learned"]
    assert learned.mean() <= exact + 3 * standard_error(learned)
    foresight = retrofit.saved["hindsight"]
    assert foresight.mean() >= exact + 3 * standard_error(foresight)


@pytest.mark.parametrize("name", CASES)
def test_the_lattices_trigger_carried_out_on_the_drawn_paths_saves_the_lattices_value(
    name: str,
) -> None:
    retrofit = CASES[name]
    exact = retrofit.exact
    saved = retrofit.followed(exact.trigger)
    assert saved.mean() == pytest.approx(exact.value, abs=3 * standard_error(saved))


@pytest.mark.parametrize("name", CASES)
def test_the_learned_policy_attains_the_optimum_within_three_thousandths(name: str) -> None:
    """Of the part of the cost that a decision can still change: lost margin or retrofit."""
    retrofit = CASES[name]
    missed = retrofit.missed("learned")
    at_stake = retrofit.margin.sum() - retrofit.exact.value
    assert missed.mean() <= 0.003 * at_stake
    assert missed.mean() >= -3 * standard_error(missed) - 1e-6


@pytest.mark.parametrize(
    ("name", "share"), [("wild and far", 0.02), ("wild and near", 0.01), ("wild and due", 0.005)]
)
def test_the_learned_policy_wins_nearly_all_that_waiting_is_worth(name: str, share: float) -> None:
    retrofit = CASES[name]
    missed = retrofit.missed("learned").mean()
    assert missed <= share * retrofit.exact.value
    assert missed < retrofit.missed("rule").mean() / 10


def test_the_lattice_has_converged() -> None:
    retrofit = CASES["wild and near"]
    coarse, fine = retrofit.on_lattice(steps=25), retrofit.exact
    assert coarse.value == pytest.approx(fine.value, rel=3e-4)


def test_the_lattice_without_swing_fits_at_the_best_date() -> None:
    # 5 a year is lost and 4, 3, 2, 1 saved by fitting at 0 .. 3, for 1 each: once, at 1.
    found = waiting([4.0, 3.0, 2.0, 1.0], np.ones(4), volatility=1e-6, steps=2)
    assert found.value == pytest.approx(2.0, abs=1e-5)
