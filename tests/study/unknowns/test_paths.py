"""What figures do that are paid on the way, told of the packages that were lived through alone."""

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.unknowns.paths import near_states, path_effects
from optioneer.study.unknowns.ranges import every_ranged
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.figures import with_figure
from optioneer.study.worth.valued_case import Valued, valued_case
from tests.oracle.cases import between, case_of, option, stream


def shop() -> Case:
    """Three options of one slot and one beside them, all for work that may come."""
    works = [
        stream("a", between(0.0, 1.0, 3.0), 12e3, ["cell"], chance=0.6, fallback=0.2),
        stream("b", between(0.0, 1.0, 4.0), 15e3, ["small"], chance=0.5, fallback=0.1),
    ]
    ways = tuple(works[1].way[0].model_copy(update={"options": (n,)}) for n in ("small", "large"))
    works[1] = works[1].model_copy(update={"way": ways})
    works[0] = works[0].model_copy(
        update={"way": (works[0].way[0].model_copy(update={"options": ("cell", "large")}),)}
    )
    options = [
        option("small", 9e3, 1.3, slot="tools"),
        option("large", 14e3, 1.4, slot="tools"),
        option("spare", 1e3, 1.4, slot="tools"),
        option("cell", 11e3, 1.5),
    ]
    clock = {"periods_per_year": 2, "futures": 512}
    return case_of(options, works, growth=clock)


def test_only_packages_that_were_lived_through_are_said_to_be_known() -> None:
    found = valued_case(shop())
    chosen = best_package(found)
    none = tuple(np.zeros(len(mean)) for mean in found.means)
    near = near_states(found, chosen, none)
    effects = path_effects(found, every_ranged(found.case), near)
    assert {effect.ranged.figure.what for effect in effects} == {
        "multiplier",
        "later-price",
        "fallback",
    }
    for effect in effects:
        for cluster, known in effect.known.items():
            assert set(np.flatnonzero(known).tolist()) == set(near[cluster])
            assert known.sum() < len(known)


@pytest.mark.parametrize("what", ["multiplier", "fallback"])
def test_near_the_case_they_cost_what_valuing_anew_says(what: str) -> None:
    """With the moves of the policy as they are: to first order (envelope theorem)."""
    found = valued_case(shop())
    none = tuple(np.zeros(len(mean)) for mean in found.means)
    near = near_states(found, best_package(found), none)
    ranged = [one for one in every_ranged(found.case) if one.figure.what == what]
    for effect in path_effects(found, ranged, near):
        here = effect.ranged.here
        at = 1.02 * here
        other: Valued = valued_case(with_figure(found.case, effect.ranged.figure, at))
        for cluster, known in effect.known.items():
            told = effect.at(cluster, np.array([at]))[:, 0] - found.means[cluster][known]
            true = other.means[cluster][known] - found.means[cluster][known]
            assert told == pytest.approx(true, abs=0.1 * np.abs(true).max() + 5.0)
