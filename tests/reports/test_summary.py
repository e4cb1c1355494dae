"""The first sentences."""

from optioneer.reports.advice.attitude import attitude_sentence, caution_parts
from optioneer.reports.advice.summary import close_calls, how_many, how_sure, summary, what_to_order
from optioneer.reports.page.money import Figures
from tests import shop

DOLLARS = Figures("USD")


def test_the_first_sentence_is_the_order_and_its_price() -> None:
    first = summary(shop.case(), shop.advice(), DOLLARS)[0]
    assert first == (
        "Order 4 options with the machine: $372,000.50 in all. Leave 3 for a retrofit (1 planned, "
        "2 possible) and 4 off."
    )


def test_a_budget_is_named_as_the_bound() -> None:
    said = what_to_order(shop.case(), shop.advice(budget=380_000.0), DOLLARS)
    assert said.endswith("This is the best that a budget of $380,000 buys.")


def test_nothing_to_order_is_said_plainly() -> None:
    bare = shop.package("advised", ("chip-conveyor", "pockets-24", "work-light"), 312_000, 1.0)
    said = what_to_order(shop.case(), shop.advice(advised=bare), DOLLARS)
    assert said.startswith("Order the machine as it stands: $312,000.")


def test_a_standard_item_that_is_left_off_is_named() -> None:
    bare = shop.package("advised", ("pockets-24", "work-light"), 308_000, 1.0)
    said = what_to_order(shop.case(), shop.advice(advised=bare), DOLLARS)
    assert said.startswith("Order the machine without Chip conveyor: $308,000.")


def test_the_gap_to_hindsight_is_what_better_timing_could_save() -> None:
    assert "better timing could save at most $3,120" in how_sure(shop.advice(), DOLLARS)
    assert "would save $14,800: no market survey" in how_sure(shop.advice(), DOLLARS)


def test_a_proven_gap_takes_the_place_of_the_wider_one() -> None:
    said = how_sure(shop.proven(shop.advice()), DOLLARS)
    assert "could average below $357,980" in said
    assert "within $420 ± 65 of that (0.28% of what the choice decides)" in said
    assert "better timing could save" not in said


def test_how_many_futures_were_drawn_and_why_is_told_only_when_asked_for() -> None:
    assert how_many(shop.advice(), DOLLARS) == ""
    answer = shop.precise(shop.advice())
    assert how_many(answer, DOLLARS) == (
        "16,384 futures were drawn: the average is known to ± 0.09% with 95 % confidence, with 1 "
        "verdict too close to call."
    )
    assert answer.precision is not None
    short = answer.precision.model_copy(update={"enough": False, "close_calls": 0})
    said = how_many(answer.model_copy(update={"precision": short}), DOLLARS)
    assert said.endswith(
        "with no verdict too close to call. That is the most that can be drawn, short of ± 0.1%."
    )


def test_many_close_calls_are_counted_and_a_few_named() -> None:
    close = tuple(a.model_copy(update={"close_call": True}) for a in shop.verdicts())
    said = close_calls(shop.case(), shop.advice(options=close))
    # two of the thirteen verdicts are one choice: their other choice is the same
    assert said.startswith("12 choices are too close to call: Automatic door; Big bore spindle;")
    assert "; and 9 more." in said
    none = tuple(a.model_copy(update={"close_call": False}) for a in shop.verdicts())
    assert close_calls(shop.case(), shop.advice(options=none)) == ""


def test_what_is_not_proven_of_caution_is_told_as_a_gap() -> None:
    caution = shop.cautious_advice(gap=240.0).caution
    assert caution is not None
    assert "no package has over $240 more on these futures; whether" in attitude_sentence(
        caution, DOLLARS
    )
    proven = caution.model_copy(update={"gap": 0.01})
    assert attitude_sentence(proven, DOLLARS).endswith("no package has more on these futures.")


def test_caution_that_turns_nothing_is_told_and_no_caution_is_not() -> None:
    told = shop.cautious_advice()
    assert told.caution is not None
    steady = told.model_copy(update={"caution": told.caution.model_copy(update={"turned": ()})})
    said = [str(part) for part in caution_parts(shop.case(), steady, DOLLARS)]
    assert "Caution turns no verdict." in said[1]
    assert caution_parts(shop.case(), shop.advice(), DOLLARS) == ()
