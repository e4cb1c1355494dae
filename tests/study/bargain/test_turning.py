"""Where a verdict turns and what levels two quotes, on curves that can be seen through."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as some

from optioneer.model.case import Case
from optioneer.study.bargain.answers import Bargain
from optioneer.study.bargain.bargain import BargainRequest, negotiation
from optioneer.study.bargain.turning_price import FARTHEST, flipped, rising_root
from tests.oracle.cases import between, case_of, certain, option, stream

CLOSE = 0.5


@given(some.floats(0.0, 3000.0), some.floats(-400.0, 400.0))
@settings(max_examples=40)
def test_an_option_is_ordered_below_the_turn_and_not_above_it(price: float, off: float) -> None:
    """Two steps out from where both choices cost the same, then halves."""
    turn, asked = max(price + off, 0.0), list[float]()

    def ordered(at: float) -> bool:
        asked.append(at)
        return at < turn

    assert flipped(ordered, price, CLOSE) == pytest.approx(turn, abs=CLOSE)
    assert min(asked) >= 0.0
    assert len(asked) < 40


@pytest.mark.parametrize("always", [True, False])
def test_a_verdict_that_never_turns_is_not_looked_for_without_end(always: bool) -> None:  # noqa: FBT001 - a case of the table
    asked = list[float]()

    def ordered(at: float) -> bool:
        asked.append(at)
        return always

    found = flipped(ordered, 5000.0, CLOSE)
    assert abs(found - 5000.0) <= 3 * FARTHEST * CLOSE
    assert len(asked) < 40


@given(some.floats(1.0, 50.0), some.floats(0.2, 5.0), some.floats(0.1, 100.0))
@settings(max_examples=40)
def test_a_rising_line_passes_nothing_where_arithmetic_says(
    root: float, slope: float, start: float
) -> None:
    def curve(x: float) -> float:
        return slope * (x - root)

    found = rising_root(curve, (start, curve(start)), 1.0, 1e-6)
    assert found == pytest.approx(root, abs=1e-5)
    assert rising_root(lambda x: x + root, (start, start + root), 1.0, 1e-6) is None


def quotes(*dearer: float) -> Bargain:
    """A machine, and the same from others for so much more."""

    def at(beyond: float) -> Case:
        made = case_of([option("sign", 1e3)], [], base_price=100e3 + beyond, resale_share=0.0)
        return made.model_copy(update={"name": f"{beyond:g}"})

    others = tuple(at(each) for each in dearer)
    return negotiation(BargainRequest(at(0.0), against=others))


@pytest.mark.parametrize("beyond", [0.4, 1.5, 4e3])
def test_a_quote_is_level_once_it_costs_no_more_however_little_that_is(beyond: float) -> None:
    (one,) = quotes(beyond).quotes
    assert one.discount == pytest.approx(beyond)
    assert one.own_discount is None
    (back,) = quotes(-beyond).quotes
    assert back.own_discount == pytest.approx(beyond)
    assert back.discount is None


def test_a_later_price_in_writing_is_what_lists_later_times_the_likeliest_multiple() -> None:
    probe = option("probe", 10e3, 1.0, later_price=12e3)
    probe = probe.model_copy(update={"multiplier": between(1.2, 1.5, 3.0)})
    work = stream("work", certain(3.0), 25e3, ["probe"], chance=0.2)
    case = case_of([probe], [work], growth={"horizon_years": 6.0})
    told = next(one for one in negotiation(BargainRequest(case)).options)
    assert told.written_price == pytest.approx(12e3 * 1.5)
