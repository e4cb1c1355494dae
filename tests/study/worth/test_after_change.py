"""A case a little changed, valued with the policies and shares of hours found before the change."""

from functools import cache
from typing import Any

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.machine import Hours
from optioneer.study.problem import clusters
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.after_change import valued_after
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.cache import swept as swept_module
from optioneer.valuation.cache.swept import Swept, costs_after_order
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.shared_hours.real_mix import FEWER
from optioneer.valuation.timing.cluster import World
from tests.oracle.cases import between, case_of, certain, option, stream

DRAWN = 512
ERRORS = 3.0
"""Standard errors of paired futures that a policy of before the change may cost more."""


@pytest.fixture(autouse=True)
def apart(monkeypatch: pytest.MonkeyPatch) -> None:
    """Clusters share hours at a price."""
    monkeypatch.setattr(clusters, "LARGEST_TOGETHER", 0)


@cache
def before() -> Valued:
    return valued_case(shop())


@cache
def shop() -> Case:
    """Two options with work of their own in too few hours; both can be fitted later."""
    options = [option("pump", 12e3, 1.4), option("feeder", 9e3, 1.2)]
    work = [
        stream("deep", between(1.0, 2.0, 4.0), 30e3, ["pump"], chance=0.6, hours=500.0),
        stream("bars", between(0.5, 2.0, 5.0), 25e3, ["feeder"], chance=0.5, hours=600.0),
        stream("plain", certain(0.0), 20e3, [], hours=400.0),
    ]
    return with_draws(
        case_of(options, work, lead=0.25).model_copy(
            update={"hours": Hours(attended=900.0, beyond=45.0)}
        ),
        DRAWN,
    )


def changed(what: str, name: str, value: float, *, times: bool = False) -> Case:
    return with_changes(shop(), [Asked(Figure(what, name), value, times=times)])[0]  # type: ignore[arg-type] # a parameter


def test_a_case_that_has_not_changed_costs_the_same_to_the_last_bit() -> None:
    found = valued_after(before(), shop())
    assert found is not None
    assert found.world.shop is not None
    for own, anew in zip(found.costs, before().costs, strict=True):
        np.testing.assert_array_equal(own.learned, anew.learned)
        np.testing.assert_array_equal(own.best_hindsight, anew.best_hindsight)
    package = tuple(0 for _ in found.costs)
    np.testing.assert_array_equal(found.cost(package), before().cost(package))


@pytest.mark.parametrize(
    ("case", "swept"),
    [
        (changed("price", "pump", 0.9, times=True), 0),
        (changed("multiplier", "pump", 1.2, times=True), 1),
        (changed("discount-rate", "", 0.12), 3),
    ],
    ids=["price", "multiplier", "rate"],
)
def test_a_cluster_that_a_change_does_not_touch_is_neither_swept_nor_learned_again(
    monkeypatch: pytest.MonkeyPatch, case: Case, swept: int
) -> None:
    known, names = valued_case(shop()), list[tuple[str, ...]]()

    def counted(_world: World, lattice: Lattice, *others: Any, **named: Any) -> Swept:
        names.append(lattice.names)
        return costs_after_order(_world, lattice, *others, **named)

    monkeypatch.setattr(swept_module, "costs_after_order", counted)
    valued_after(known, case)
    assert len(names) == swept
    found = valued_after(known, case)
    assert len(names) == swept, "the second time nothing is swept at all"
    assert found is not None
    for own, anew in zip(found.costs, valued_case(case).costs, strict=True):
        if own.lattice.names not in names:
            np.testing.assert_array_equal(own.learned, anew.learned)
            np.testing.assert_array_equal(own.best_hindsight, anew.best_hindsight)


@pytest.mark.parametrize(
    "case",
    [
        changed("chance", "deep", 0.3),
        changed("margin", "bars", 1.5, times=True),
        changed("discount-rate", "", 0.12),
        changed("multiplier", "pump", 1.2, times=True),
    ],
    ids=["chance", "margin", "rate", "multiplier"],
)
def test_what_was_done_before_costs_now_what_it_costs(case: Case) -> None:
    """No package is cheaper than with the future known, nor much dearer than learned anew.

    One that nothing is ever fitted to costs the same: there is no policy to it.
    """
    found, anew = valued_after(before(), case), valued_case(case)
    assert found is not None
    whole = tuple(int(np.argmax(cost.lattice.price)) for cost in anew.costs)
    ours, theirs = (each.cost(whole)[::FEWER] for each in (found, anew))  # mixed in each of these
    np.testing.assert_allclose(ours, theirs, rtol=1e-9)
    for own in found.costs:
        assert (own.learned.mean(axis=1) >= own.hindsight - 1e-6).all()
    for state in (tuple(0 for _ in whole), whole):
        beyond = found.cost(state) - anew.cost(state)
        error = beyond.std() / np.sqrt(len(beyond))
        assert abs(beyond.mean()) <= ERRORS * error + 0.005 * abs(anew.cost(state).mean())


def test_policies_that_do_not_fit_are_not_followed() -> None:
    assert valued_after(before(), changed("horizon", "", 8.0)) is None
    fewer = shop().growth.model_copy(update={"stream": shop().growth.stream[1:]})
    assert valued_after(before(), shop().model_copy(update={"growth": fewer})) is None
