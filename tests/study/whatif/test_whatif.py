"""What-if and turning, on cases small enough to see through."""

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.study.advice import package
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import PackageFigures
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.whatif.answers import OptionTurns, Turning, WhatIf
from optioneer.study.whatif.whatif import (
    TurningRequest,
    WhatIfRequest,
    range_of,
    shifts,
    turning,
    values_between,
    what_if,
)
from optioneer.study.worth.changes import asked_change
from optioneer.study.worth.figures import Figure, with_figure
from tests.oracle import cases
from tests.oracle.cases import case_of, certain, option, stream


def now_or_never(chance: float = 0.25) -> Case:
    """Work of 20,000 that is there from the start or never, for an option of 8,000."""
    work = stream("work", certain(0.0), 20e3, ["built-in"], chance=chance)
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 1024}
    options = [option("built-in", 8e3), option("useless", 1e3)]
    return case_of(options, [work], growth=growth)


def only(told: WhatIf, name: str) -> tuple[object, ...]:
    shift = next(each for each in told.options if each.option == name)
    return (shift.before, shift.after, shift.otherwise_before, shift.otherwise_after)


def test_a_likelier_stream_turns_the_verdict_by_what_it_is_worth() -> None:
    told = what_if(WhatIfRequest(now_or_never(), changes=(asked_change("chance", "work=0.75"),)))
    # 8,000 against a quarter, then three quarters, of 20,000.
    expected = ("leave off", "order now", pytest.approx(3e3), pytest.approx(7e3))
    assert only(told, "built-in") == expected
    assert only(told, "useless") == ("leave off", "leave off", pytest.approx(1e3), 1e3)
    assert told.keeping_costs == pytest.approx(7e3)
    assert (told.before.options, told.after.options) == ((), ("built-in",))


def test_a_price_turns_the_verdict_too() -> None:
    told = what_if(WhatIfRequest(now_or_never(), changes=(asked_change("price", "built-in=x0.5"),)))
    assert only(told, "built-in")[1] == "order now"
    assert told.after.price == 104e3


def discounted(later_price: float | None = None) -> Case:
    """Work of 8,000 in each of three years, one time in five, for an option of 6,000."""
    work = stream("work", certain(0.0), 8e3, ["probe"], chance=0.2)
    growth = {"horizon_years": 3.0, "discount_rate": 0.0, "futures": 4096}
    return case_of([option("probe", 6e3, 1.0, later_price=later_price)], [work], growth=growth)


def test_a_discount_on_the_order_turns_a_verdict_for_the_later_price_stays() -> None:
    # Waiting costs one time in five two years' work and the later price, 4,400; were the later
    # price to fall along, 4,200 with the order would still be 160 dearer than waiting.
    told = turning(
        TurningRequest(discounted(), figure=Figure("price", "probe"), values=(4e3, 4.2e3, 5e3, 6e3))
    )
    (probe,) = told.options
    assert probe.verdicts == ("order now",) * 2 + ("leave for retrofit",) * 2
    assert probe.turns[0].at == pytest.approx(4400.0, rel=5e-3)


def test_the_later_price_turns_a_verdict_too() -> None:
    told = turning(
        TurningRequest(discounted(), figure=Figure("later-price", "probe"), values=(6e3, 7.9e3))
    )
    assert told.options[0].verdicts == ("leave for retrofit",) * 2
    cheaper = [asked_change("price", "probe=4600")]
    assert (
        only(what_if(WhatIfRequest(discounted(), changes=tuple(cheaper))), "probe")[1]
        == "leave for retrofit"
    )
    dearer = [*cheaper, asked_change("later-price", "probe=7500")]
    assert (
        only(what_if(WhatIfRequest(discounted(), changes=tuple(dearer))), "probe")[1] == "order now"
    )


def test_a_price_later_equal_to_the_price_says_nothing_new() -> None:
    same = advice(AdviceRequest(discounted(6e3)))
    assert same.model_dump() == advice(AdviceRequest(discounted())).model_dump()


def test_before_and_after_are_the_advice_on_each_case() -> None:
    case = cases.prepared()
    told = what_if(WhatIfRequest(case, changes=(asked_change("margin", "lights-out=x1.5"),)))
    changed = with_figure(case, Figure("margin", "lights-out"), 90e3)
    assert told.before == advice(AdviceRequest(case)).advised
    assert told.after == advice(AdviceRequest(changed)).advised
    assert [shift.after for shift in told.options] == [
        o.verdict for o in advice(AdviceRequest(changed)).options
    ]


def test_without_bounds_the_answer_is_the_same_and_no_bound_is_worked_out(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    request = WhatIfRequest(cases.prepared(), changes=(asked_change("margin", "lights-out=x1.5"),))
    told = what_if(request)
    monkeypatch.setattr(package, "remembered_bounds", None)
    short = shifts(request)
    bounds = {"before", "after"}
    assert short.model_dump(exclude=bounds) == told.model_dump(exclude=bounds)
    for ours, theirs in ((short.before, told.before), (short.after, told.after)):
        assert PackageFigures(**{name: getattr(theirs, name) for name in dict(ours)}) == ours
    assert list(short.model_dump()) == list(told.model_dump())


@pytest.mark.parametrize("name", list(cases.CASES))
def test_keeping_to_the_old_package_never_pays_and_no_change_changes_nothing(name: str) -> None:
    case = cases.CASES[name]()
    assert (
        what_if(WhatIfRequest(case, changes=(asked_change("discount-rate", "0.2"),))).keeping_costs
        >= 0.0
    )
    same = what_if(WhatIfRequest(case, changes=(asked_change("discount-rate", "x1"),)))
    assert same.before == same.after
    assert same.keeping_costs == 0.0
    assert all(shift.before == shift.after for shift in same.options)


def turns_of(told: Turning, name: str) -> OptionTurns:
    return next(option for option in told.options if option.option == name)


def test_along_its_chance_an_option_turns_where_price_meets_margin() -> None:
    told = turning(
        TurningRequest(
            now_or_never(), figure=Figure("chance", "work"), values=values_between(0.0, 1.0, 5)
        )
    )
    assert told.here == 0.25
    assert [point.at for point in told.points] == [0.0, 0.25, 0.5, 0.75, 1.0]
    found = turns_of(told, "built-in")
    assert found.verdicts == ("leave off", "leave off", "order now", "order now", "order now")
    (turn,) = found.turns
    # The gap is a straight line in the chance: the place between two values is exact.
    assert turn.at == pytest.approx(0.4, abs=1e-3)
    assert (turn.low, turn.high) == (0.25, 0.5)
    assert turns_of(told, "useless").turns == ()
    assert [point.price for point in told.points] == [100e3, 100e3, 108e3, 108e3, 108e3]


def test_between_two_verdicts_that_do_not_order_only_the_step_is_told() -> None:
    case = cases.waiting()
    told = turning(TurningRequest(case, figure=Figure("chance", "work"), values=(0.0, 0.2)))
    (turn,) = turns_of(told, "probe").turns
    assert (turn.before, turn.after) == ("leave off", "leave for retrofit")
    assert (turn.low, turn.high, turn.at) == (0.0, 0.2, None)


def test_a_driver_is_nudged_from_minus_two_to_two_unless_told() -> None:
    assert range_of(cases.driven(), Figure("nudge", "automation"), (None, None)) == (-2.0, 2.0)
    assert range_of(cases.driven(), Figure("nudge", "automation"), (None, 1.0)) == (-2.0, 1.0)
    assert range_of(now_or_never(), Figure("price", "built-in"), (None, None)) == (4e3, 16e3)
    told = turning(
        TurningRequest(cases.driven(), figure=Figure("nudge", "automation"), values=(-2.0, 2.0))
    )
    assert told.points[0].npc < told.points[1].npc  # more work that the bare machine may lose


def test_a_range_must_rise_and_have_steps() -> None:
    with pytest.raises(RequestError, match="--from 2 is not below --to 1"):
        values_between(2.0, 1.0, 9)
    for steps in (1, 102):
        with pytest.raises(RequestError, match=f"--steps {steps} is not allowed"):
            values_between(0.0, 1.0, steps)


def test_a_value_outside_the_model_is_refused_before_anything_is_valued() -> None:
    with pytest.raises(RequestError, match="chance work: 2 is not allowed"):
        turning(TurningRequest(now_or_never(), figure=Figure("chance", "work"), values=(0.0, 2.0)))
