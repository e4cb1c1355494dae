"""The steps of a search where what packages cost is known: each option saves by itself."""

from dataclasses import dataclass
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.problem.clusters import cluster_terms
from optioneer.study.problem.effort import Clock
from optioneer.study.search.search import Search
from optioneer.valuation.lattice.levels import Levels
from tests.oracle.cases import case_of, option

SAVES = {"a": 3.0, "b": -1.0, "c": 2.0, "d": 1.0}
"""What ordering each brings beyond its price."""


@dataclass(frozen=True)
class Sums:
    """Packages at the sum of what their options save."""

    saved: tuple[tuple[float, ...], ...]

    def worth(self, package: Levels, **_: Any) -> Any:
        saved = sum(level[at] for level, at in zip(self.saved, package, strict=True))
        return SimpleNamespace(learned=np.array([100.0 - saved]))


def tied() -> Case:
    """Four options in one cluster, tied by the visit that they share."""
    options = [option(name, 10.0, 1.0, call_out="team") for name in SAVES]
    return case_of(options, [], call_outs={"team": 5.0})


def search(room: float | None = None) -> Search:
    terms = cluster_terms(tied(), 0)
    names = sorted(SAVES)
    saved = tuple(tuple(0.0 if o < 0 else SAVES[names[o]] for o in axis) for axis in terms.fitted)
    return Search(terms, Sums(saved), map, Clock(600.0), room)  # type: ignore[arg-type] # its part


def holds(found: Search, package: Levels) -> set[str]:
    return {sorted(SAVES)[option] for option in found.terms.owned(package)}


def test_one_pass_takes_every_change_that_helps() -> None:
    found = search()
    start = (0, 0, 0, 0)
    found.seen([start])
    found._look(found.near.of(start), 1.0)
    found._combined(start)
    assert holds(found, found.best) == {"a", "c", "d"}


@pytest.mark.parametrize("room", [None, 0.0, 10.0, 20.0, 30.0])
def test_steps_end_at_the_best_of_all_that_can_be_paid(room: float | None) -> None:
    found = search(room)
    found.seen([(0, 0, 0, 0)])
    found.improve(1.0)
    least = min(
        float(found.appraisal.worth(package, only="learned").learned[0])
        for package in product((0, 1), repeat=4)
        if room is None or 10.0 * sum(package) <= room
    )
    assert found.means[found.best] == pytest.approx(least)
