"""Break-evens: worked by hand, and verified by asking again on either side."""

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import partial

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.checks.reliance import streams_relying_on
from optioneer.reports.advice.turning_points import turn_sentence
from optioneer.reports.advice.words import telling_of
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice, advice_with_values
from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.advice.breakeven import with_break_evens
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.effort import Clock
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.changes import scaled_chances, scaled_multiplier
from optioneer.study.worth.repricing import ROUGH_FUTURES
from optioneer.valuation.cache.swept import learned_means
from optioneer.valuation.lattice.useful import states_from
from tests.oracle import cases
from tests.oracle.cases import case_of, certain, option, stream


def asked(case: Case, name: str, budget: float | None = None) -> OptionAnswer:
    told = advice(AdviceRequest(case, budget=budget, break_even=True))
    assert told.break_evens
    return next(answer for answer in told.options if answer.option == name)


def now_or_never(chance: float) -> Case:
    """Work of 20,000 that is there from the start or never, for an option of 8,000."""
    work = stream("work", certain(0.0), 20e3, ["built-in"], chance=chance)
    growth = {"horizon_years": 1.0, "discount_rate": 0.0}
    return case_of([option("built-in", 8e3)], [work], growth=growth)


@pytest.mark.parametrize("chance", [0.1, 0.3, 0.9])
def test_what_can_only_be_ordered_now_pays_from_price_over_margin(chance: float) -> None:
    answer = asked(now_or_never(chance), "built-in")
    assert answer.break_even_chance == pytest.approx(0.4, abs=0.003)
    assert answer.break_even_multiplier is None


def test_it_never_turns_where_no_chance_is_large_enough() -> None:
    work = stream("work", certain(0.0), 7e3, ["built-in"], chance=0.5)
    growth = {"horizon_years": 1.0, "discount_rate": 0.0}
    case = case_of([option("built-in", 8e3)], [work], growth=growth)
    assert asked(case, "built-in").break_even_chance is None


def early_or_late(multiplier: float) -> Case:
    """Work seen in period 1, half and half; a retrofit then misses that period."""
    work = stream("work", certain(1.0), 12.5e3, ["probe"], chance=0.5)
    growth = {"horizon_years": 3.0}
    return case_of([option("probe", 10e3, multiplier)], [work], growth=growth)


@pytest.mark.parametrize("multiplier", [0.8, 1.9])
def test_a_retrofit_at_the_break_even_multiplier_costs_what_ordering_does(
    multiplier: float,
) -> None:
    # 10,000 now against half of: the retrofit at 1 and the margin lost during 1.
    v = 1 / 1.1
    indifferent = (10e3 / 0.5 - v**1.5 * 12.5e3) / (v * 10e3)
    answer = asked(early_or_late(multiplier), "probe")
    assert answer.break_even_multiplier == pytest.approx(indifferent, rel=0.004)


def ordered(case: Case, name: str) -> bool:
    told = advice(AdviceRequest(case))
    return next(a for a in told.options if a.option == name).verdict == "order now"


def verify(answer: OptionAnswer, turn: float, changed: Callable[[float], Case]) -> None:
    """The verdict is as advised all the way to just before `turn`, and not just after."""
    as_advised = answer.verdict == "order now"
    outwards = 0.01 * turn if turn > 1.0 else -0.01 * turn
    for part in (0.4, 0.8, 1.0):
        near = 1.0 + part * (turn - outwards - 1.0)
        assert ordered(changed(near), answer.option) == as_advised
    assert ordered(changed(turn + outwards), answer.option) != as_advised


@pytest.mark.parametrize("name", list(cases.CASES))
def test_asked_again_the_verdict_turns_at_the_break_even_and_nowhere_nearer(name: str) -> None:
    case = cases.CASES[name]()
    case = case.model_copy(update={"growth": case.growth.model_copy(update={"futures": 512})})
    for answer in advice(AdviceRequest(case, break_even=True)).options:
        streams = streams_relying_on(case, answer.option)
        if answer.break_even_chance is not None:
            names = tuple(stream.id for stream in streams)
            turn = answer.break_even_chance / max(stream.likely_chance for stream in streams)
            verify(answer, turn, partial(scaled_chances, case, names))
        likely = case.catalogue.by_id[answer.option].multiplier
        if answer.break_even_multiplier is not None and likely is not None:
            turn = answer.break_even_multiplier / likely.likely
            verify(answer, turn, partial(scaled_multiplier, case, answer.option))


def test_under_a_budget_the_others_keep_their_share_of_it() -> None:
    # Only one of the two can be paid; the other earns 6,000, so this one must earn 6,000 more
    # than its own price of 8,000 brings back: at a chance of (8,000 + 6,000) / 20,000.
    streams = [
        stream("work", certain(0.0), 20e3, ["built-in"], chance=0.5),
        stream("other", certain(0.0), 14e3, ["rival"]),
    ]
    growth = {"horizon_years": 1.0, "discount_rate": 0.0}
    case = case_of([option("built-in", 8e3), option("rival", 8e3)], streams, growth=growth)
    assert asked(case, "built-in").break_even_chance == pytest.approx(0.4, abs=0.003)
    bound = asked(case, "built-in", budget=110e3)
    assert bound.break_even_chance == pytest.approx(0.7, abs=0.003)


def three_apart() -> Case:
    """Three options of work of their own, the second the closest call."""
    prices = {"first": 2e3, "second": 7.5e3, "third": 15e3}
    work = [stream(name, certain(0.0), 20e3, [name], chance=0.4) for name in prices]
    growth = {"horizon_years": 1.0, "discount_rate": 0.0}
    return case_of([option(name, price) for name, price in prices.items()], work, growth=growth)


@dataclass
class FewLooks(Clock):
    """Time for so many looks at the clock."""

    looks: int = 0

    def over(self, share: float = 1.0) -> bool:
        self.looks -= 1
        return share > 0.0 and self.looks < 0


def test_the_closest_calls_come_first_and_what_there_was_no_time_for_is_named() -> None:
    before = advice_with_values(AdviceRequest(three_apart()))
    whole = with_break_evens(before.valued, before.advice)
    looks = FewLooks(math.inf, looks=10**6)
    with_break_evens(before.valued, before.advice, clock=looks)
    some = FewLooks(math.inf, looks=(10**6 - looks.looks) // 2)
    partly = with_break_evens(before.valued, before.advice, clock=some)
    assert whole.unsought == ()
    assert "second" not in partly.unsought != ()
    for told, full in zip(partly.options, whole.options, strict=True):
        sought = told.option not in partly.unsought
        assert told.break_even_chance == (full.break_even_chance if sought else None)


def test_with_no_time_left_the_page_says_so_beside_every_option() -> None:
    before = advice_with_values(AdviceRequest(three_apart()))
    answer = with_break_evens(before.valued, before.advice, clock=Clock(0.0))
    assert answer.unsought == ("first", "second", "third")
    telling = telling_of(three_apart(), answer, Figures("USD"))
    for option_told in answer.options:
        assert "Within the time limit" in turn_sentence(telling, option_told)


@pytest.mark.parametrize("name", list(cases.CASES))
def test_packages_cost_the_same_whether_all_are_valued_or_some(name: str) -> None:
    """Each learns for itself: what is left out near a turn tells nothing of the others."""
    found = advice_with_values(AdviceRequest(with_draws(cases.CASES[name](), 256))).valued
    for cost in found.costs:
        lattice = cost.lattice
        whole = learned_means(found.world, lattice, map)
        for state in np.flatnonzero(lattice.orderable):
            part = states_from(lattice, [int(state)])
            some = learned_means(found.world, lattice.among(part), map)
            assert some[part == state] == pytest.approx(whole[state], rel=1e-9)


def test_workers_who_know_only_means_find_the_same_where_turns_are_first_looked_for_roughly() -> (
    None
):
    case = with_draws(three_apart(), ROUGH_FUTURES + 16)
    before = advice_with_values(AdviceRequest(case))
    here = with_break_evens(before.valued, before.advice)
    assert with_break_evens(before.valued, before.advice, far=map) == here
