"""What a short list of packages says of them, against the lattice of all."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given, settings

from optioneer.model.case import Case
from optioneer.study.problem.clusters import cluster_lattice, cluster_terms, clusters
from tests.oracle.cases import CASES, case_of, certain, option, stream
from tests.oracle.strategies import small_cases


def chained() -> Case:
    """The work needs the cell, the cell the interface, the interface the door."""
    options = [
        option("door", 1e3, 1.0),
        option("interface", 2e3, 1.0, requires=("door",)),
        option("cell", 4e3, 1.0, requires=("interface",)),
    ]
    return case_of(options, [stream("lights-out", certain(1.0), 9e3, ["cell"], fallback=0.25)])


def agree(case: Case) -> None:
    for number in range(len(clusters(case))):
        lattice, terms = cluster_lattice(case, number), cluster_terms(case, number)
        for state in np.flatnonzero(lattice.orderable):
            package = tuple(int(level) for level in lattice.levels[:, state])
            rows = range(len(lattice.streams))
            listed = np.array([terms.least_lost(package, row) for row in rows])
            least = lattice.least_lost(int(state))
            # What makes way for another slot's retrofit is left out of account.
            if terms.excludes or terms.requires:
                assert (listed >= least - 1e-12).all()
            else:
                assert listed == pytest.approx(least)
            assert terms.order_factor * terms.order_price(package) == pytest.approx(
                float(lattice.price[state])
            )
            owned = terms.options_of(package)
            lost = np.array([1.0 - terms.share_earned(owned, row) for row in rows])
            assert lost == pytest.approx(lattice.lost[state])


def sways(case: Case) -> None:
    """No two packages that differ in one slot lose shares farther apart than that slot sways."""
    for number in range(len(clusters(case))):
        lattice = cluster_lattice(case, number)
        for one, other in combinations(np.flatnonzero(lattice.orderable), 2):
            (axes,) = np.nonzero(lattice.levels[:, one] != lattice.levels[:, other])
            if len(axes) == 1:
                apart = np.abs(lattice.lost[one] - lattice.lost[other])
                assert (apart <= lattice.sway[axes[0]] + 1e-12).all()


@pytest.mark.parametrize("name", CASES)
def test_a_slot_sways_as_much_as_any_two_packages_show(name: str) -> None:
    sways(CASES[name]())


@pytest.mark.parametrize("name", CASES)
def test_the_levels_of_a_package_say_what_its_lattice_says(name: str) -> None:
    agree(CASES[name]())


@given(small_cases())
@settings(max_examples=25, deadline=None)
def test_so_they_do_in_any_small_case(case: Case) -> None:
    agree(case)


def test_what_is_required_is_fitted_along() -> None:
    agree(chained())
    terms = cluster_terms(chained(), 0)
    assert terms.least_lost((0, 0, 0), 0) == 0.0
