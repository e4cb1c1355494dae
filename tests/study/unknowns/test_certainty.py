"""Which verdicts stand and what the others hang on, worked by hand and asked again."""

import pytest

from optioneer.model.case import Case
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.unknowns.answers import HangsOn
from optioneer.study.unknowns.ranges import ranged_figures
from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure
from tests.cases_as_texts import mill, read
from tests.oracle.cases import case_of, option
from tests.study.unknowns.test_worth_of_knowing import now_or_never, rivals


def of(case: Case, name: str) -> OptionAnswer:
    return next(one for one in advice(AdviceRequest(case)).options if one.option == name)


def hanging(case: Case, name: str) -> dict[str, HangsOn]:
    return {one.what: one for one in of(case, name).hangs_on or ()}


def test_a_verdict_far_from_its_turn_stands() -> None:
    assert of(now_or_never(0.9), "built-in").hangs_on == ()


def test_a_verdict_hangs_on_the_chance_and_turns_where_price_over_margin_is() -> None:
    told = hanging(now_or_never(0.35), "built-in")
    assert told["chance"].turns_at == pytest.approx(0.4, abs=0.003)
    assert told["chance"].turns == "above"
    assert (told["chance"].low, told["chance"].high) == pytest.approx((0.25, 0.45))


def test_it_turns_below_where_it_is_ordered() -> None:
    told = hanging(now_or_never(0.45), "built-in")
    assert told["chance"].turns == "below"
    assert told["margin"].turns_at == pytest.approx(8e3 / 0.45, rel=0.01)


def test_what_has_no_other_choice_hangs_on_nothing_that_is_told() -> None:
    gun = option("gun", 300.0, standard=True)
    case = case_of([gun], [], growth={"futures": 64})
    assert of(case, "gun").hangs_on is None


def test_under_a_budget_nothing_is_told_of_it() -> None:
    told = advice(AdviceRequest(now_or_never(0.35), budget=150e3))
    assert all(one.hangs_on is None for one in told.options)


@pytest.mark.parametrize("name", ["large", "small"])
def test_asked_again_on_either_side_the_verdict_turns_there(name: str) -> None:
    case = rivals()
    before = of(case, name).verdict
    for one in of(case, name).hangs_on or ():
        outwards = 0.1 * (one.turns_at - one.here)
        verdicts = [
            of(with_changes(case, [Asked(Figure(one.what, one.name), at)])[0], name).verdict
            for at in (one.turns_at - outwards, one.turns_at + outwards)
        ]
        assert verdicts[0] == before
        assert verdicts[1] != before


def test_on_the_small_mill_it_turns_what_valuing_anew_turns() -> None:
    """Of the figures that both look at, all that turn by more than a little; without hours."""
    case = read(mill(512)).case.model_copy(update={"hours": None})
    told = {one.option: one.hangs_on or () for one in advice(AdviceRequest(case)).options}
    ranges = ranged_figures(case, only=("chance", "nudge"))
    for ends in one_at_a_time(RangesRequest(case, ranges=ranges)).figures:
        here = next((one for one in ends.otherwise), None)
        for end in ends.otherwise if here else ():
            least = min(end.at_low, end.at_high)
            if least < -300.0:
                names = {(one.what, one.name) for one in told[end.option]}
                assert (ends.what, ends.name) in names or len(names) == 3
