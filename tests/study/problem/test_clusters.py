"""Facts to arrays: which slots are tied, what a state costs, what is too large."""

from collections.abc import Sequence
from typing import Any

import numpy as np
import pytest

from optioneer.errors import TooLargeError
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream, Way
from optioneer.model.machine import Bundle, Hours
from optioneer.study.problem import clusters as problem_clusters
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import clusters, must_be_swept
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.lattice.lattice import Lattice
from tests.oracle.cases import between, case_of, certain, option, stream

WORK = between(0.0, 1.0, 2.0)


def tied(
    options: Sequence[Option], streams: Sequence[Stream] = (), **more: Any
) -> set[frozenset[str]]:
    """Slots that are valued together, by name."""
    return {
        frozenset(slot.name for slot in slots)
        for slots in clusters(case_of(options, streams, **more))
    }


def pair(first: dict[str, Any], second: dict[str, Any] | None = None) -> list[Option]:
    return [option("a", 1e3, 2.0, **first), option("b", 1e3, 2.0, **(second or {}))]


TOGETHER, APART = {frozenset({"a", "b"})}, {frozenset({"a"}), frozenset({"b"})}


@pytest.mark.parametrize(
    ("options", "more"),
    [
        (pair({"requires": ("b",)}), {}),
        (pair({"excludes": ("b",)}), {}),
        (pair({"eased_by": "b", "eased": certain(1.5)}), {}),
        (pair({"call_out": "team"}, {"call_out": "team"}), {"call_outs": {"team": 500.0}}),
        (pair({}), {"bundles": [Bundle(id="both", options=("a", "b"), discount=100.0)]}),
        (pair({}), {"streams": [stream("work", WORK, 1e4, ["a", "b"])]}),
    ],
    ids=["requires", "excludes", "easing", "named-call-out", "bundle", "stream"],
)
def test_whatever_relates_two_slots_ties_them(options: list[Option], more: dict[str, Any]) -> None:
    streams = more.pop("streams", [])
    assert tied(options, streams, **more) == TOGETHER


def test_the_default_call_out_and_separate_work_tie_nothing() -> None:
    options = pair({"call_out": "default"}, {"call_out": "default"})
    streams = [stream("one", WORK, 1e4, ["a"]), stream("two", WORK, 1e4, ["b"])]
    assert tied(options, streams) == APART


def test_ties_are_handed_on() -> None:
    options = [
        option("a", 1e3, requires=("b",)),
        option("b", 1e3, requires=("c",)),
        option("c", 1e3),
        option("d", 1e3),
    ]
    assert tied(options) == {frozenset("abc"), frozenset("d")}


def test_a_standard_without_credit_leaves_its_slot_never_empty() -> None:
    case = case_of(
        [option("plain", 900.0, slot="pump", standard=True), option("strong", 4e3, slot="pump")], []
    )
    (lattice,) = problem_of(case).lattices
    assert lattice.shape == (2,)
    assert lattice.price.tolist() == [0.0, 4e3]


def test_an_order_costs_prices_less_credits_and_bundles() -> None:
    case = case_of(
        [
            option("auger", 900.0, standard=True, delete_credit=250.0),
            option("probe", 4e3),
            option("cycles", 1e3),
        ],
        [stream("work", WORK, 1e4, ["auger", "probe", "cycles"])],
        bundles=[Bundle(id="probing", options=("probe", "cycles"), discount=600.0)],
    )
    (lattice,) = problem_of(case).lattices
    names = problem_of(case).options
    price = {
        frozenset(names[i] for i in lattice.options(state)): lattice.price[state]
        for state in range(lattice.size)
    }
    assert price[frozenset()] == -250.0
    assert price[frozenset({"auger"})] == 0.0
    assert price[frozenset({"probe", "cycles"})] == 5e3 - 600.0 - 250.0
    assert price[frozenset({"auger", "probe", "cycles"})] == 5e3 - 600.0


def test_the_best_owned_way_counts_or_the_fallback() -> None:
    case = case_of(
        [option("slow", 1e3), option("fast", 2e3)],
        [
            stream(
                "work",
                WORK,
                1e4,
                [],
                fallback=0.3,
                way=({"options": ("slow",), "share": 0.2}, {"options": ("fast",), "share": 0.9}),
            )
        ],
    )
    (lattice,) = problem_of(case).lattices
    names = problem_of(case).options
    lost = {
        frozenset(names[i] for i in lattice.options(state)): float(lattice.lost[state, 0])
        for state in range(lattice.size)
    }
    assert lost == pytest.approx(
        {
            frozenset(): 0.7,
            frozenset({"slow"}): 0.7,
            frozenset({"fast"}): 0.1,
            frozenset({"slow", "fast"}): 0.1,
        }
    )


def test_work_that_no_option_serves_is_lost_whatever_is_ordered() -> None:
    case = case_of([option("a", 1e3)], [stream("work", WORK, 1e4, [], fallback=0.4, way=())])
    problem = problem_of(case)
    assert [(k, round(lost, 9)) for k, lost in problem.alone] == [(0, 0.6)]
    assert all(lattice.lost.size == 0 for lattice in problem.lattices)


def tangle(slots: int) -> Case:
    names = [f"option-{i:02}" for i in range(slots)]
    options = [option(name, 1e3, 2.0) for name in names]
    return case_of(options, [stream("work", WORK, 1e4, names)])


def test_a_cluster_over_the_limit_says_which_slots_tie_it() -> None:
    with pytest.raises(TooLargeError) as told:
        must_be_swept(tangle(30), "--break-even")
    assert "30 slots are tied together" in str(told.value)
    assert "1,073,741,824 packages" in str(told.value)
    assert "option-00" in str(told.value)
    assert "option-29" in str(told.value)


def test_the_order_of_rows_changes_no_array() -> None:
    case = tangle(4)
    turned = case.model_copy(
        update={
            "catalogue": case.catalogue.model_copy(
                update={"options": tuple(reversed(case.catalogue.options))}
            )
        }
    )
    one, other = problem_of(case).lattices[0], problem_of(turned).lattices[0]
    assert turned.catalogue.by_id.keys() == case.catalogue.by_id.keys()
    assert list(turned.catalogue.by_id) != list(case.catalogue.by_id)
    assert one.names == other.names
    assert np.array_equal(one.price, other.price)
    assert np.array_equal(one.lost, other.lost)


def test_work_that_takes_hours_and_that_no_option_serves_is_in_one_place(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Found with a single group of slots too large to be valued with it: it was in both."""
    plain = tangle(2)
    streams = (
        *(one.model_copy(update={"hours": 800.0}) for one in plain.growth.stream),
        stream("ordinary", certain(0.0), 2e4, [], hours=900.0, way=(Way(options=()),)),
    )
    growth = plain.growth.model_copy(update={"stream": streams})
    case = plain.model_copy(update={"growth": growth, "hours": Hours(attended=1000.0)})
    for most in (0, 256):
        monkeypatch.setattr(problem_clusters, "LARGEST_TOGETHER", most)
        places = [k for lattice in problem_of(case).lattices for k in lattice.streams]
        assert sorted(places) == [0, 1]


def test_slots_with_work_that_takes_hours_are_valued_as_one_where_they_make_few_packages() -> None:
    """Three slots that share nothing but the hours, and one whose work takes none."""
    options = [option(name, 1e3, 2.0) for name in "abcd"]
    streams = [stream(f"for-{name}", WORK, 1e4, [name], hours=300.0) for name in "abc"]
    streams.append(stream("for-d", WORK, 1e4, ["d"]))
    case = case_of(options, streams)
    assert [len(slots) for slots in clusters(case)] == [1, 1, 1, 1]
    limited = case.model_copy(update={"hours": Hours(attended=800.0)})
    assert [{slot.name for slot in slots} for slots in clusters(limited)] == [{*"abc"}, {"d"}]


def test_what_a_package_holds_is_told_in_one_order_whatever_order_the_menu_has() -> None:
    names = ["b", "d", "a", "c"]
    pair = Bundle(id="pair", options=("d", "a"), discount=100.0)
    menu = [option(name, 1e3, 2.0) for name in names]
    found = valued_case(case_of(menu, [], growth={"futures": 16}, bundles=[pair]))
    assert sorted(cost.lattice.size for cost in found.costs) == [2, 2, 4]
    states = tuple(cost.lattice.size - 1 for cost in found.costs)
    assert found.options(states) == ("a", "b", "c", "d")


def test_a_lattice_is_kept_for_cases_of_which_only_what_work_brings_differs() -> None:
    def lattice(price: float, **change: Any) -> Lattice:
        work = stream("work", WORK, 9e3, ["a"], chance=0.5).model_copy(update=change)
        (found,) = problem_of(case_of([option("a", price, 2.0)], [work])).lattices
        return found

    one = lattice(1e3)
    assert lattice(1e3, chance=0.9, margin=certain(7e3)) is one
    assert lattice(1e3, fallback=0.25).lost[0, 0] == 0.75
    assert lattice(1.5e3).price[1] == 1.5e3
    assert (one.lost[0, 0], one.price[1]) == (1.0, 1e3)
