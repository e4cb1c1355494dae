"""The same numbers with and without memory, whatever was asked before."""

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.worth.changes import asked_change, with_changes
from optioneer.study.worth.figures import What
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.cache.memory import MEMORY, Memory
from tests.cases_as_texts import few, read
from tests.cases_as_texts import mill as texts_of_mill

CHANGES: tuple[tuple[What, str], ...] = (
    ("nudge", "automation=0.4"),
    ("chance", "many-sided=x0.8"),
    ("margin", "many-sided=x1.3"),
    ("years", "deep-holes=2.5"),
    ("lasts-years", "deep-holes=3"),
    ("fallback", "many-sided=0.1"),
    ("growth", "everyday=0.03"),
    ("swing", "deep-holes=0.4"),
    ("multiplier", "rotary-table=x1.4"),
    ("price", "automatic-door=x0.9"),
    ("later-price", "automatic-door=x1.2"),
    ("downtime-days", "rotary-table=9"),
    ("kept-years", "5"),
    ("horizon", "6"),
    ("discount-rate", "0.05"),
)


@pytest.fixture(scope="module")
def mill() -> Case:
    """A part of it with work and options of every sort: a question is one as of the whole."""
    return read(few(texts_of_mill(64))).case


def changed(case: Case, what: What, text: str) -> Case:
    return with_changes(case, [asked_change(what, text)])[0]


def told(found: Valued) -> list[np.ndarray]:
    return [
        each
        for cost in found.costs
        for each in (cost.learned, cost.hindsight, cost.rule, cost.best_hindsight)
    ]


@pytest.fixture(scope="module")
def first_and_last(mill: Case) -> dict[What, tuple[list[np.ndarray], list[np.ndarray]]]:
    """Each question asked of an empty memory, and of one that was asked all of them before."""
    cases = {what: changed(mill, what, text) for what, text in CHANGES}
    first = {}
    for what, case in cases.items():
        MEMORY.forget()
        first[what] = told(valued_case(case))
    MEMORY.forget()
    for case in cases.values():
        valued_case(case)
    misses = MEMORY.misses
    last = {what: told(valued_case(case)) for what, case in cases.items()}
    assert MEMORY.misses == misses, "nothing is valued a second time"
    return {what: (first[what], last[what]) for what in cases}


@pytest.mark.parametrize("what", [what for what, _ in CHANGES])
def test_the_hundredth_question_is_answered_like_the_first(
    first_and_last: dict[What, tuple[list[np.ndarray], list[np.ndarray]]], what: What
) -> None:
    first, last = first_and_last[what]
    assert all(np.array_equal(one, two) for one, two in zip(first, last, strict=True))


def test_the_same_advice_to_the_last_digit_with_and_without_memory(mill: Case) -> None:
    request = AdviceRequest(mill, prove=True)
    MEMORY.forget()
    without = advice(request)
    misses = MEMORY.misses
    assert misses > 0
    assert advice(request) == without
    assert MEMORY.misses == misses, "nothing is valued a second time"


def test_a_price_changes_nothing_that_comes_after_the_order(mill: Case) -> None:
    """Unless a share of it comes back with the resale."""
    valued_case(mill)
    misses = MEMORY.misses
    options = mill.catalogue.options
    name = next(o.option for o in options if o.price and not o.resale_share and not o.standard)
    found = valued_case(changed(mill, "price", f"{name}=x0.5"))
    assert MEMORY.misses == misses
    MEMORY.forget()
    fresh = valued_case(found.case)
    assert all(np.array_equal(a, b) for a, b in zip(told(found), told(fresh), strict=True))


def test_work_that_hangs_on_no_driver_changes_its_own_cluster_only() -> None:
    whole = read(texts_of_mill(16)).case
    valued_case(whole)
    misses = MEMORY.misses
    valued_case(changed(whole, "chance", "chips=0.7"))
    assert MEMORY.misses == misses + 1


def test_what_was_asked_for_least_lately_makes_room() -> None:
    one = {"x": np.zeros(100)}
    memory = Memory(most=2000)
    for name in ("a", "b"):
        memory.put(name, dict(one))
    assert memory.get("a") is not None
    memory.put("c", dict(one))
    assert memory.nbytes == 1600
    assert memory.get("b") is None
    assert memory.get("a") is not None
    memory.put("large", {"x": np.zeros(1000)})
    assert memory.get("large") is None
    assert memory.nbytes == 1600


def test_what_is_kept_cannot_be_changed(mill: Case) -> None:
    found = valued_case(mill)
    moves = next(cost.moves for cost in found.costs if cost.moves is not None)
    with pytest.raises(ValueError, match="read-only"):
        moves.learned[0, 0, 0] = 1
