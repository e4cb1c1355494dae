"""States, order cost and retrofit cost, worked by hand."""

from typing import Any

import pytest

from optioneer.model.machine import Bundle
from tests.oracle.cases import case_of, certain, option, stream
from tests.oracle.machine import (
    Retrofits,
    State,
    can_become,
    certain_multipliers,
    clusters,
    order_cost,
    states,
)


def of(*names: str) -> State:
    return frozenset(names)


def test_packages_obey_requires_excludes_and_slots() -> None:
    options = [
        option("small", 1.0, slot="tools"),
        option("large", 1.0, slot="tools", excludes=("robot",)),
        option("robot", 1.0, requires=("small",)),
    ]
    assert states(case_of(options, [])) == [of(), of("large"), of("robot", "small"), of("small")]


def test_a_standard_without_credit_can_be_replaced_but_not_left_off() -> None:
    options = [option("plain", 1.0, slot="s", standard=True), option("fine", 1.0, slot="s")]
    assert states(case_of(options, [])) == [of("fine"), of("plain")]


def test_the_order_pays_prices_less_bundle_and_credit_of_an_empty_slot() -> None:
    options = [
        option("probe", 5000.0),
        option("cooling", 7000.0),
        option("plain", 900.0, slot="conveyor", standard=True, delete_credit=600.0),
        option("fine", 2000.0, slot="conveyor"),
    ]
    pair = Bundle(id="pair", options=("probe", "cooling"), discount=1000.0)
    case = case_of(options, [], bundles=[pair])
    assert order_cost(case, of("plain")) == 100e3
    assert order_cost(case, of()) == 100e3 - 600
    assert order_cost(case, of("fine")) == 100e3 + 2000
    assert order_cost(case, of("plain", "probe")) == 100e3 + 5000
    assert order_cost(case, of("plain", "probe", "cooling")) == 100e3 + 5000 + 7000 - 1000


def test_moves_fit_what_is_retrofittable_and_never_empty_a_slot() -> None:
    options = [
        option("small", 1.0, 2.0, slot="tools"),
        option("large", 1.0, 2.0, slot="tools"),
        option("casting", 1.0),
    ]
    case = case_of(options, [])
    assert can_become(case, of(), of("large"))
    assert can_become(case, of("large"), of("small"))
    assert not can_become(case, of("large"), of())
    assert not can_become(case, of(), of("casting"))
    assert can_become(case, of("casting"), of("casting", "small"))


def test_strangers_pay_a_default_visit_each_and_relatives_share_it() -> None:
    options = [option(name, 100.0, 2.0, call_out="default") for name in ("a", "b", "c")]
    work = stream("work", certain(0.5), 1.0, ["a", "b"])
    case = case_of(options, [work], call_outs={"default": 30.0})
    parts = Retrofits(case, certain_multipliers(case)).parts
    assert sorted(map(sorted, clusters(case))) == [["a", "b"], ["c"]]
    assert parts(of(), of("a", "b")) == (2 * 200 + 30, 0)
    assert parts(of(), of("a", "c")) == (2 * 200 + 2 * 30, 0)


def test_a_named_visit_is_charged_once_and_beside_the_default_one() -> None:
    options = [
        option("a", 100.0, 2.0, call_out="team"),
        option("b", 100.0, 2.0, call_out="team"),
        option("c", 100.0, 2.0, call_out="default", requires=("a",)),
        option("d", 100.0, 2.0),
    ]
    case = case_of(options, [], call_outs={"default": 30.0, "team": 50.0})
    parts = Retrofits(case, certain_multipliers(case)).parts
    assert parts(of(), of("a", "b")) == (400 + 50, 0)
    assert parts(of(), of("a", "b", "c", "d")) == (800 + 50 + 30, 0)
    assert parts(of(), of("d")) == (200, 0)


@pytest.mark.parametrize("how", ["requires", "excludes", "eased", "bundle"])
def test_each_relation_makes_one_cluster_of_two_slots(how: str) -> None:
    relations: dict[str, dict[str, Any]] = {
        "requires": {"requires": ("b",)},
        "excludes": {"excludes": ("b",)},
        "eased": {"eased_by": "b", "eased": certain(1.0)},
        "bundle": {},
    }
    pair = Bundle(id="pair", options=("a", "b"), discount=1.0)
    options = [option("a", 1.0, 2.0, **relations[how]), option("b", 1.0, 2.0)]
    case = case_of(options, [], bundles=[pair] if how == "bundle" else [])
    assert clusters(case) == [of("a", "b")]


def test_two_ways_of_one_stream_make_one_cluster() -> None:
    options = [option("a", 1.0), option("b", 1.0)]
    work = stream("work", certain(0.5), 1.0, [])
    way = work.way[0]
    ways = tuple(way.model_copy(update={"options": (name,)}) for name in "ab")
    assert clusters(case_of(options, [work.model_copy(update={"way": ways})])) == [of("a", "b")]


def test_an_easer_in_another_slot_counts_when_fitted_in_the_same_period() -> None:
    options = [
        option("wiring", 100.0, 2.0),
        option("robot", 1000.0, 3.0, eased_by="wiring", eased=certain(1.5)),
    ]
    case = case_of(options, [])
    parts = Retrofits(case, certain_multipliers(case)).parts
    assert parts(of(), of("robot")) == (3000, 0)
    assert parts(of("wiring"), of("robot", "wiring")) == (1500, 0)
    assert parts(of(), of("robot", "wiring")) == (200 + 1500, 0)


def test_an_easer_in_the_same_slot_counts_when_it_was_there_before() -> None:
    options = [
        option("prepared", 100.0, 2.0, slot="robot"),
        option("complete", 1000.0, 3.0, slot="robot", eased_by="prepared", eased=certain(1.5)),
    ]
    case = case_of(options, [])
    parts = Retrofits(case, certain_multipliers(case)).parts
    assert parts(of(), of("complete")) == (3000, 0)
    assert parts(of("prepared"), of("complete")) == (1500, 0)


def test_an_easer_replaced_in_another_slot_in_the_same_period_does_not_count() -> None:
    options = [
        option("wiring", 100.0, 2.0, slot="cabinet"),
        option("plc", 100.0, 2.0, slot="cabinet"),
        option("robot", 1000.0, 3.0, eased_by="wiring", eased=certain(1.5)),
    ]
    case = case_of(options, [])
    parts = Retrofits(case, certain_multipliers(case)).parts
    assert parts(of("wiring"), of("plc", "robot")) == (200 + 3000, 0)


def test_prices_and_visits_inflate_and_downtime_does_not() -> None:
    probe = option("probe", 1000.0, 2.0, call_out="default", downtime_days=1.5)
    growth = {"retrofit_inflation": 0.1, "discount_rate": 0.25, "periods_per_year": 2}
    case = case_of([probe], [], growth=growth, call_outs={"default": 300.0}, lead=0.5)
    # Period 3 starts 0.5 + 3/2 = 2 years after the order.
    expected = 0.8**2 * ((2000 + 300) * 1.1**2 + 1.5 * 1000)
    found = Retrofits(case, certain_multipliers(case)).present_cost(3, of(), of("probe"))
    assert found == pytest.approx(expected, rel=1e-14)
