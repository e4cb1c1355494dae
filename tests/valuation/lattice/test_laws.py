"""Laws that hold whatever the case."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream, Way
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.arrays import growth_of, timeline_of
from optioneer.valuation.worlds.futures import drawn_futures
from tests.oracle.cases import CASES, option
from tests.oracle.machine import State
from tests.valuation.engine import engine
from tests.valuation.timing.test_paths import loose_cases


def scaled(quantity: Triangular, factor: float) -> Triangular:
    """A triangular quantity in other money."""
    return Triangular(
        low=factor * quantity.low, likely=factor * quantity.likely, high=factor * quantity.high
    )


def in_other_money(case: Case, factor: float) -> Case:
    """The case with every amount of money multiplied."""

    def dearer(one: Option) -> Option:
        credit = one.delete_credit
        money = {
            "price": factor * one.price,
            "later_price": one.later_price and factor * one.later_price,
            "upkeep_per_year": factor * one.upkeep_per_year,
            "delete_credit": None if credit is None else factor * credit,
        }
        return one.model_copy(update=money)

    machine = {
        "base_price": factor * case.machine.base_price,
        "margin_per_day": factor * case.machine.margin_per_day,
    }
    streams = [
        s.model_copy(update={"margin": scaled(s.margin, factor)}) for s in case.growth.stream
    ]
    return case.model_copy(
        update={
            "machine": case.machine.model_copy(update=machine),
            "call_outs": {name: factor * amount for name, amount in case.call_outs.items()},
            "bundles": tuple(
                b.model_copy(update={"discount": factor * b.discount}) for b in case.bundles
            ),
            "catalogue": Catalogue(options=tuple(map(dearer, case.catalogue.options))),
            "growth": case.growth.model_copy(update={"stream": tuple(streams)}),
        }
    )


def means(case: Case) -> dict[str, dict[State, float]]:
    """Mean cost of every package by the three valuations."""
    found = engine(case, lessons=128)
    kinds = {"hindsight": found.hindsight, "rule": found.rule, "learned": found.learned}
    return {
        kind: {package: float(cost.mean()) for package, cost in costs.items()}
        for kind, costs in kinds.items()
    }


@given(loose_cases())
@settings(max_examples=10, deadline=None)
def test_other_money_changes_nothing_but_the_money(case: Case) -> None:
    # A power of two, so that rounding is scaled as well and no tie falls otherwise.
    plain, dearer = means(case), means(in_other_money(case, 4.0))
    for kind, costs in plain.items():
        assert dearer[kind] == pytest.approx({p: 4 * c for p, c in costs.items()}, rel=1e-9)


@given(loose_cases(), st.randoms(use_true_random=False))
@settings(max_examples=10, deadline=None)
def test_the_order_of_options_is_immaterial_bit_for_bit(case: Case, order: Any) -> None:
    options = list(case.catalogue.options)
    order.shuffle(options)
    shuffled = case.model_copy(update={"catalogue": Catalogue(options=tuple(options))})
    assert means(shuffled) == means(case)


@pytest.mark.parametrize("name", CASES)
def test_the_order_of_options_leaves_the_advice_as_it_is(name: str) -> None:
    case = CASES[name]()
    turned = Catalogue(options=case.catalogue.options[::-1])
    plain, other = (
        advice(AdviceRequest(case)),
        advice(AdviceRequest(case.model_copy(update={"catalogue": turned}))),
    )
    assert other.advised == plain.advised
    assert other.packages == plain.packages
    assert other.frontier == plain.frontier
    assert sorted(other.options, key=lambda o: o.option) == sorted(
        plain.options, key=lambda o: o.option
    )


def with_one_more(case: Case, price: float) -> Case:
    """The case with one more retrofittable option, which does the first stream alone."""
    more = option("another", price, 1.3, call_out="default")
    first, *others = case.growth.stream
    ways = (*first.way, Way(options=("another",), share=0.95))
    streams: tuple[Stream, ...] = (first.model_copy(update={"way": ways}), *others)
    return case.model_copy(
        update={
            "catalogue": Catalogue(options=(*case.catalogue.options, more)),
            "growth": case.growth.model_copy(update={"stream": streams}),
        }
    )


@given(loose_cases(), st.sampled_from([500.0, 5e3, 50e3]))
@settings(max_examples=15, deadline=None)
def test_a_longer_menu_never_costs_more_with_hindsight(case: Case, price: float) -> None:
    fewer = engine(case, lessons=64).hindsight
    more = engine(with_one_more(case, price), lessons=64).hindsight
    assert min(c.mean() for c in more.values()) <= min(c.mean() for c in fewer.values()) + 1e-6
    least = [np.min(list(costs.values()), axis=0) for costs in (more, fewer)]
    assert (least[0] <= least[1] + 1e-6).all(), "nor in any single future"


@given(loose_cases(), st.sampled_from([0.3, 1.0, 4.0]))
@settings(max_examples=15, deadline=None)
def test_pushing_a_driver_never_delays_work_that_it_brings(case: Case, push: float) -> None:
    helpful = [
        s.model_copy(update={"drivers": {name: abs(a) for name, a in s.drivers.items()}})
        for s in case.growth.stream
    ]
    arrivals = []
    for nudge in (0.0, push):
        pushed = [d.model_copy(update={"nudge": d.nudge + nudge}) for d in case.growth.driver]
        parts = {"stream": tuple(helpful), "driver": tuple(pushed)}
        moved = case.model_copy(update={"growth": case.growth.model_copy(update=parts)})
        growth = growth_of(moved)
        draw = drawn_futures(growth, timeline_of(moved), options=(), count=64, seed=3, use=0)
        arrivals.append(draw.arrival)
    assert (arrivals[1] <= arrivals[0]).all()


def test_a_push_brings_work_earlier() -> None:
    case = CASES["driven"]()
    (driver,) = case.growth.driver
    growth = case.growth.model_copy(update={"driver": (driver.model_copy(update={"nudge": 1.0}),)})
    before, after = (
        drawn_futures(
            growth_of(one), timeline_of(one), options=(), count=64, seed=3, use=0
        ).arrival.mean()
        for one in (case, case.model_copy(update={"growth": growth}))
    )
    assert after < before - 0.5


def test_one_more_option_is_certain_to_be_used_where_it_is_nearly_free() -> None:
    case = CASES["waiting"]()
    found = engine(with_one_more(case, 100.0), lessons=64)
    cheapest = min(found.learned, key=lambda package: found.learned[package].mean())
    assert "another" in cheapest
