"""What is asked next."""

from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.asking.answers import Questions
from optioneer.study.asking.questions import AskRequest, next_questions
from optioneer.study.worth.figures import Figure
from tests.known_shop import Hidden, at_random, curve, invented_shop, worth_most
from tests.oracle.cases import between, case_of, option, stream
from tests.study.unknowns.test_worth_of_knowing import now_or_never, rivals, waits

SEEDS = (1, 5)


def asked(case: Case, *settled: Figure) -> Questions:
    return next_questions(AskRequest(case, settled=frozenset(settled)))


def test_first_is_asked_what_is_worth_most_and_of_whom() -> None:
    told = asked(now_or_never(0.4))
    worths = [one.worth for one in told.questions]
    assert worths == sorted(worths, reverse=True)
    first = told.questions[0]
    assert (first.what, first.name, first.who) == ("chance", "work", "customer")
    assert first.turns == ("built-in",)


def test_a_question_says_where_in_its_range_which_verdict_turns() -> None:
    (turn,) = asked(now_or_never(0.4)).questions[0].turning
    assert (turn.option, turn.side) == ("built-in", "below" if turn.at < 0.4 else "above")
    beyond = turn.at + (0.02 if turn.side == "above" else -0.02)
    assert advice(AdviceRequest(now_or_never(beyond))).options[0].verdict != turn.verdict


def test_nothing_is_asked_where_nothing_can_turn() -> None:
    told = asked(now_or_never(0.95))
    assert told.questions == ()
    assert told.below == told.figures
    assert told.least == 0.002 * told.price


def test_what_is_settled_is_not_asked_again() -> None:
    told = asked(now_or_never(0.4), Figure("chance", "work"))
    assert ("chance", "work") not in {(one.what, one.name) for one in told.questions}


def test_what_is_settled_is_part_of_no_worth_and_of_no_risk() -> None:
    """With every figure known nothing is left to know, and nothing is risked."""
    case = now_or_never(0.4)
    shop = Hidden.of(case)
    terms = (Figure("discount-rate"), Figure("horizon"))
    before, after = asked(case), asked(case, *shop.figures, *terms)
    assert min(before.everything, before.worst_hundredth) > 0.0
    assert before.worst_hundredth > before.everything
    assert (after.figures, after.everything, after.worst_hundredth) == (0, 0.0, 0.0)


def test_figures_that_are_not_drawn_are_valued_anew_unless_it_has_to_be_quick() -> None:
    case = waits()
    whole, quick = asked(case), next_questions(AskRequest(case, quick=True))
    assert quick.figures < whole.figures


def test_options_that_stand_or_fall_together_are_one_choice() -> None:
    assert asked(rivals()).together == (("large", "small"),)


def test_work_that_comes_after_the_end_is_named() -> None:
    late = stream("late", between(5.0, 6.0, 7.0), 9e3, ["probe"])
    assert asked(case_of([option("probe", 1e3, 1.2)], [late])).beyond == ("late",)


def test_against_a_known_shop_a_few_chosen_questions_order_what_knowing_all_orders() -> None:
    """A small version of the bench: invented shops, a guess for every figure, eight answers."""
    chosen, random = [], []
    for seed in SEEDS:
        hidden = Hidden.of(invented_shop(seed, futures=128))
        guess = hidden.guessed(seed)
        chosen.append(curve(hidden, guess, worth_most, 8)[-1])
        random.append(curve(hidden, guess, at_random(hidden, seed), 8)[-1])
    assert sum(chosen) <= 0.01 * len(SEEDS)
    assert sum(chosen) <= 0.5 * sum(random)
