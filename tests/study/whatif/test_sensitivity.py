"""What moves the advice, on cases where it can be told by hand."""

import pytest

from optioneer.arrays import Floats
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.study.advice.advice import advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.problem.futures import with_draws
from optioneer.study.unknowns.ranges import Spreads, ranged_figures
from optioneer.study.whatif import one_at_a_time as whatif_ends
from optioneer.study.whatif.all_at_once import all_together
from optioneer.study.whatif.answers import AllTogether, Ends, OneAtATime
from optioneer.study.whatif.baseline import baseline_of
from optioneer.study.whatif.one_at_a_time import RangesRequest, one_at_a_time
from optioneer.study.whatif.trials import TogetherRequest, Trials
from optioneer.study.whatif.whatif import WhatIfRequest, what_if
from optioneer.study.worth.changes import asked_change
from optioneer.study.worth.revaluation import PieceErrand, piece_costs
from tests.oracle import cases
from tests.oracle.cases import option
from tests.study.whatif.test_whatif import now_or_never

CASE = now_or_never(0.35)
"""Work of 20,000 that comes with chance .35 or never, for an option of 8,000 that is left off."""

RANGES = ranged_figures(CASE, Spreads(years=0.0, rate=0.0), ["chance", "margin"])
"""Its chance from .25 to .45, its margin from 16,000 to 24,000."""


def ends(told: OneAtATime, what: str) -> Ends:
    return next(each for each in told.figures if each.what == what)


@pytest.fixture(scope="module")
def alone() -> OneAtATime:
    return one_at_a_time(RangesRequest(CASE, ranges=tuple(RANGES)))


FULL = Trials(futures=CASE.growth.futures)
"""As many futures as the case has, so that few of them put nothing off."""


@pytest.fixture(scope="module")
def together() -> AllTogether:
    return all_together(TogetherRequest(CASE, ranges=tuple(RANGES), trials=FULL))


def test_the_advised_packages_cost_at_both_ends(alone: OneAtATime) -> None:
    assert alone.npc == advice(AdviceRequest(CASE)).advised.npc == pytest.approx(107e3, abs=60)
    assert [each.what for each in alone.figures] == ["chance", "margin"]
    chance, margin = ends(alone, "chance"), ends(alone, "margin")
    assert (chance.low, chance.high) == (0.25, 0.45)
    assert (chance.npc_low, chance.npc_high) == pytest.approx((105e3, 109e3), abs=60)
    assert (margin.npc_low, margin.npc_high) == pytest.approx((105.6e3, 108.4e3), abs=60)
    assert chance.moves == pytest.approx(chance.npc_high - chance.npc_low)


def test_the_verdict_turns_where_the_margin_is_worth_the_price(alone: OneAtATime) -> None:
    # 8,000 against .45 x 20,000 and .35 x 24,000: ordering now pays in both.
    for each, worth in ((ends(alone, "chance"), 9e3), (ends(alone, "margin"), 8.4e3)):
        assert (each.turned_low, each.turned_high) == ((), ("built-in",))
        (only,) = each.otherwise
        assert only.option == "built-in"
        assert only.at_high == pytest.approx(8e3 - worth, abs=60)


FEW = 32
"""Futures of which so many have the work, more than the 35 of a hundred of the case: the first ones
12, 32 of their own 14."""


def at_the_price(price: float) -> Case:
    """The same case, its option at another price."""
    dear, useless = CASE.catalogue.options
    menu = Catalogue(options=(dear.model_copy(update={"price": price}), useless))
    return CASE.model_copy(update={"catalogue": menu})


def test_becoming_right_is_no_turn_where_fewer_futures_see_it_otherwise() -> None:
    # On these few futures alone ordering is 250 cheaper, although leaving off is advised.
    ranges = tuple(each for each in RANGES if each.figure.what == "margin")
    told = one_at_a_time(RangesRequest(at_the_price(7_250.0), ranges=ranges, sample=FEW))
    (margin,) = told.figures
    assert [each.verdict for each in told.options] == ["leave off", "leave off"]
    assert told.options[0].otherwise == pytest.approx(238, abs=1)
    (only,) = margin.otherwise
    assert only.at_low == pytest.approx(238 + 12 / 32 * 4e3, abs=1)
    assert only.at_high == pytest.approx(238 - 12 / 32 * 4e3, abs=1)
    assert (margin.turned_low, margin.turned_high) == ((), ("built-in",))
    # Of 32 futures 12 see 4,000 more or less, the others nothing: drawn each alone.
    error = 4e3 * (12 * 20 / 32 / 31 / 32) ** 0.5
    assert only.at_low_se == pytest.approx(error) == only.at_high_se
    assert margin.npc_low_se == pytest.approx(error) == margin.npc_high_se


def test_only_close_calls_are_looked_at_with_all_the_futures(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """8,000 against 7,000 is far from a turn at 2,000 more or less than 20,000, at 4,000 near."""
    near, far = (ranged_figures(CASE, Spreads(part=part), ["margin"]) for part in (0.15, 0.05))
    asked: list[tuple[float, int]] = []

    def noted(errand: PieceErrand) -> Floats:
        asked.extend((value, errand.first) for _, value in errand.changes)
        return piece_costs(errand)

    monkeypatch.setattr(whatif_ends, "piece_costs", noted)
    told = one_at_a_time(RangesRequest(CASE, ranges=(*near, *far)))
    assert (told.glanced, told.futures) == (128, 1024)
    assert sorted(asked) == [(17e3, 128), (19e3, 128), (21e3, 128), (23e3, 128), (23e3, 1024)]
    errors = {each.high: (each.npc_low_se, each.npc_high_se) for each in told.figures}
    assert errors[21e3][0] == pytest.approx(errors[21e3][1])
    assert errors[23e3][1] == pytest.approx(errors[23e3][0] * (128 / 1024) ** 0.5, rel=0.05)


def test_the_share_that_turns_is_the_share_that_turns_away() -> None:
    ranges = [each for each in RANGES if each.figure.what == "margin"]
    told = all_together(
        TogetherRequest(CASE, ranges=tuple(ranges), trials=Trials(futures=FEW, checked=1))
    )
    built_in = next(each for each in told.options if each.option == "built-in")
    # 988 less .4375 for each unit of margin more: from 22,258 on, of 16,000 to 24,000.
    assert built_in.otherwise == pytest.approx(988, abs=1)
    assert built_in.turned == pytest.approx((24e3 - 22_258) / 8e3, abs=0.01)


def test_each_choice_has_an_error_of_its_own() -> None:
    """What work earns is felt by who has the option for it; beside it only who shares the visit."""
    case = with_draws(cases.shared_visit(), 256)
    ranges = ranged_figures(case, only=("margin",))
    told = {each.name: each for each in one_at_a_time(RangesRequest(case, ranges=ranges)).figures}
    for work, own, other in (("work-a", 0, 1), ("work-b", 1, 0)):
        found = told[work]
        errors = {
            "low": (found.npc_low_se, [each.at_low_se for each in found.otherwise]),
            "high": (found.npc_high_se, [each.at_high_se for each in found.otherwise]),
        }
        for npc, each in errors.values():
            assert each[own] == pytest.approx(npc)
            assert 0.0 < each[other] < 0.5 * npc


@pytest.mark.parametrize("name", ["waiting", "prepared", "shared_visit"])
def test_few_futures_tell_what_all_of_them_do_within_their_errors(name: str) -> None:
    case = with_draws(cases.CASES[name](), 2048)
    told = one_at_a_time(RangesRequest(case))
    assert told.glanced == 128
    for each in told.figures:
        owner = f"{each.name}=" if each.name else ""
        for value, npc, error in (
            (each.low, each.npc_low, each.npc_low_se),
            (each.high, each.npc_high, each.npc_high_se),
        ):
            change = asked_change(each.what, f"{owner}{value!r}")
            changed = what_if(WhatIfRequest(case, changes=(change,)))
            kept = changed.after.npc + changed.keeping_costs
            assert npc == pytest.approx(kept, abs=3 * error + 0.02 * abs(kept - told.npc) + 1.0)


@pytest.mark.parametrize("name", ["prepared", "left_off"])
def test_a_turn_is_what_what_if_says(name: str) -> None:
    case = with_draws(cases.CASES[name](), 128)
    told = one_at_a_time(RangesRequest(case, sample=case.growth.futures))
    before = advice(AdviceRequest(case))
    assert told.npc == pytest.approx(before.advised.npc)
    assert [each.otherwise for each in told.options] == pytest.approx(
        [each.otherwise for each in before.options]
    )
    for each in told.figures:
        owner = f"{each.name}=" if each.name else ""
        for value, turned in ((each.low, each.turned_low), (each.high, each.turned_high)):
            changed = what_if(
                WhatIfRequest(case, changes=(asked_change(each.what, f"{owner}{value!r}"),))
            )
            ordering = {
                shift.option
                for shift in changed.options
                if (shift.before == "order now") != (shift.after == "order now")
            }
            assert ordering == set(turned), each


def test_a_product_of_two_figures_is_split_as_it_should_be(together: AllTogether) -> None:
    # NPC = 100,000 + chance x margin; variances of uniform figures over .2 and 8,000.
    of_chance, of_margin = 0.2**2 / 12, 8e3**2 / 12
    parts = {"chance": 20e3**2 * of_chance, "margin": 0.35**2 * of_margin}
    both = of_chance * of_margin
    variance = sum(parts.values()) + both
    assert together.npc.deviation == pytest.approx(variance**0.5, rel=0.02)
    for each in together.npc.figures:
        assert each.first == pytest.approx(parts[each.what] / variance, abs=0.03)
        assert each.total == pytest.approx((parts[each.what] + both) / variance, abs=0.03)
        assert each.total_low < each.total < each.total_high


def test_the_share_of_the_ranges_in_which_a_verdict_turns(together: AllTogether) -> None:
    turned = {each.option: each.turned for each in together.options}
    # chance x margin above 8,000, chance .25 .. .45, margin 16,000 .. 24,000: by quadrature
    steps = [(i + 0.5) / 400 for i in range(400)]
    area = sum((0.25 + 0.2 * x) * (16e3 + 8e3 * y) > 8e3 for x in steps for y in steps) / 400**2
    assert turned["built-in"] == pytest.approx(area, abs=0.02)
    assert turned["useless"] == 0.0
    assert together.options[0].option == "built-in"


def test_what_the_stand_in_is_off_by_is_told(together: AllTogether) -> None:
    assert together.checked == 3
    assert together.npc.error is not None
    assert 0 < together.npc.error < 0.05 * together.npc.deviation
    assert (
        all_together(
            TogetherRequest(CASE, ranges=tuple(RANGES), trials=Trials(checked=0))
        ).npc.error
        is None
    )


def test_what_nothing_moves_has_no_shares(together: AllTogether) -> None:
    useless = next(each for each in together.options if each.option == "useless")
    assert (useless.deviation, useless.figures) == (0.0, ())
    assert useless.otherwise == pytest.approx(1e3)


def test_one_seed_gives_one_answer(together: AllTogether) -> None:
    assert all_together(TogetherRequest(CASE, ranges=tuple(RANGES), trials=FULL)) == together


def test_efforts_that_make_no_sense_are_refused() -> None:
    for wrong in (Trials(points=100), Trials(points=32), Trials(seconds=0.0), Trials(futures=3)):
        with pytest.raises(RequestError, match="not allowed"):
            all_together(TogetherRequest(CASE, ranges=tuple(RANGES), trials=wrong))
    with pytest.raises(RequestError, match="Only the horizon is left"):
        all_together(
            TogetherRequest(CASE, ranges=tuple(ranged_figures(CASE, Spreads(), ["horizon"])))
        )


def test_what_cannot_be_chosen_otherwise_moves_with_nothing() -> None:
    """A standard item that no credit is given for stands beside the option in question."""
    pump = option("pump", 900.0, standard=True)
    menu = Catalogue(options=(*CASE.catalogue.options, pump))
    base = baseline_of(with_draws(CASE.model_copy(update={"catalogue": menu}), 64), 64)
    told = {answer.option: answer.otherwise for answer in base.advised.answers}
    assert told["pump"] is None
    assert [one.option for one in base.advised.choices] == ["built-in", "useless"]
    here = [told[one.option] for one in base.advised.choices]
    assert base.numbers(base.base) == pytest.approx([base.advised.npc, *here])
