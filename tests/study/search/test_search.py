"""The steps of a search where what packages cost is known: each option saves by itself."""

from dataclasses import dataclass, replace
from itertools import product
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.machine import Bundle
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_terms
from optioneer.study.problem.effort import Clock, Effort, Heard
from optioneer.study.search.large import LargeCluster
from optioneer.study.search.neighbours import Neighbourhood
from optioneer.study.search.search import Search
from optioneer.valuation.large.short_list import short_list
from optioneer.valuation.lattice.levels import Levels
from tests.oracle.cases import case_of, certain, option, stream

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
    return {sorted(SAVES)[option] for option in found.terms.options_of(package)}


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


@dataclass(frozen=True)
class Table:
    """Packages at costs of their own."""

    costs: Floats

    def worth(self, package: Levels, **_: Any) -> Any:
        return SimpleNamespace(learned=self.costs[package][None])


@pytest.mark.parametrize("seed", range(8))
def test_steps_end_where_no_neighbour_is_better(seed: int) -> None:
    """Options help and harm each other; sixteen packages need fewer passes than there are."""
    costs = np.random.default_rng(seed).normal(size=(2, 2, 2, 2))
    found = Search(search().terms, Table(costs), map, Clock(600.0), None)  # type: ignore[arg-type] # its part
    found.seen([(0, 0, 0, 0)])
    found.improve(1.0)
    best = found.best
    assert all(costs[best] <= costs[near] for near in found.near.of(best))


def test_what_helps_only_beside_another_change_is_found_in_the_next_pass() -> None:
    costs = np.full((2, 2, 2, 2), 9.0)
    costs[0, 0, 0, 0], costs[1, 0, 0, 0], costs[1, 1, 0, 0], costs[1, 1, 1, 0] = 4.0, 3.0, 2.0, 1.0
    found = Search(search().terms, Table(costs), map, Clock(600.0), None)  # type: ignore[arg-type] # its part
    found.seen([(0, 0, 0, 0)])
    found.improve(1.0)
    assert found.best == (1, 1, 1, 0)


@pytest.mark.parametrize("more", [0.0, 7e3, 30e3])
def test_the_rest_of_a_budget_is_for_what_the_other_clusters_leave(more: float) -> None:
    """One other cluster is listed, one is swept; neither can be ordered for less than its least."""
    options = [
        option("a", 4e3),
        option("b", 5e3, standard=True, delete_credit=1.5e3),
        option("c", 6e3, slot="pump", standard=True),
        option("d", 8e3, slot="pump"),
    ]
    case = case_of(options, [], growth={"futures": 16})
    problem = problem_of(case, order_factor=1.25)
    names = [lattice.names[0] for lattice in problem.lattices]
    least = {"a": 0.0, "b": -1.5e3, "pump": 0.0}
    for swept in (names, names[1:]):
        lattices = tuple(
            lattice if name in swept else short_list(cluster_terms(case, number, order_factor=1.25))
            for number, (name, lattice) in enumerate(zip(names, problem.lattices, strict=True))
        )
        whole: dict[str, Any] = {"case": case, "problem": replace(problem, lattices=lattices)}
        whole |= {"world": None, "run": map, "heard": Heard(None)}
        for cluster, own in enumerate(names):
            effort = Effort(budget=100e3 + more)
            others = sum(least[name] for name in names if name != own)
            large = LargeCluster(cluster=cluster, effort=effort, **whole)
            assert large.room == pytest.approx(more - others)
        assert LargeCluster(cluster=0, effort=Effort(), **whole).room is None


def test_what_one_option_does_alone_is_no_group() -> None:
    """A pair that saves together; the neighbours are those with the groups told apart or not."""
    pair = Bundle(id="pair", options=("a", "b"), discount=2.0)
    case = case_of(
        [option(name, 10.0, 1.0) for name in "abc"],
        [stream("work", certain(1.0), 9.0, ["b", "c"]), stream("own", certain(1.0), 9.0, ["c"])],
        bundles=[pair],
    )
    near = Neighbourhood(cluster_terms(case, 0))
    assert {frozenset(group) for group in near.groups} == {frozenset({0, 1}), frozenset({1, 2})}
    assert set(near.of((0, 0, 0))) == {(1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 0), (0, 1, 1)}
    assert set(near.of((1, 1, 1))) == {(0, 1, 1), (1, 0, 1), (1, 1, 0), (0, 0, 1), (1, 0, 0)}
