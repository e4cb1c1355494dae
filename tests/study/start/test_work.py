"""Work that the kinds of options propose: what a way may be, and how finely amounts are told."""

import math
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import example, given
from hypothesis import strategies as some

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.kinds.usual import usual_kinds
from optioneer.study.start.list_lines import Listing, ListLine
from optioneer.study.start.new_case import Wishes, new_case
from optioneer.study.start.work import proposed_streams, two_digits

MACHINE = "mill"


@pytest.mark.parametrize(
    ("amount", "told"),
    [(12_345.0, 12_000.0), (87.6, 88.0), (0.0456, 0.05), (0.001, 0.01), (0.0, 0.0), (-3.0, 0.0)],
)
def test_an_amount_that_is_only_roughly_known_is_told_to_two_digits(
    amount: float, told: float
) -> None:
    assert two_digits(amount) == pytest.approx(told, abs=0.006)


def test_what_is_less_than_a_cent_is_a_cent() -> None:
    assert two_digits(0.0001) == 0.01


@given(some.decimals(min_value=1, max_value=1_000_000_000, places=3))
@example(Decimal("1.85"))  # was 1.9, ten times as much 18
def test_two_digits_are_off_by_a_twentieth_at_most_and_are_two(amount: Decimal) -> None:
    told = two_digits(float(amount))
    assert told == pytest.approx(float(amount), rel=0.05 + 1e-9)
    leading = told / 10 ** (math.floor(math.log10(told)) - 1)
    assert leading == pytest.approx(round(leading), abs=1e-6)
    assert two_digits(float(10 * amount)) == pytest.approx(10 * told)


def options_of(*kinds: str, **facts: object) -> list[Option]:
    """An option of each kind, in the slots of their kinds."""
    known = usual_kinds().by_id
    return [
        Option.model_validate(
            {
                "option": f"{kind}-{n}",
                "name": kind,
                "kind": kind,
                "slot": known[kind].slot,
                "price": 1e3,
                **facts,
            }
        )
        for n, kind in enumerate(kinds)
    ]


def joint() -> tuple[str, str, str]:
    """A stream of the machine, and two kinds that one of its ways asks for together."""
    for stream in usual_kinds().stream:
        for way in stream.way:
            slots = {usual_kinds().by_id[kind].slot or kind for kind in way.kinds}
            if MACHINE in stream.machines and len(way.kinds) == 2 == len(slots):
                return stream.id, way.kinds[0], way.kinds[1]
    raise AssertionError("no way asks for two kinds")


def ways_of(options: list[Option], stream: str) -> set[frozenset[str]]:
    found = (s for s in proposed_streams(options, MACHINE, 100e3) if s.id == stream)
    return {frozenset(way.options) for s in found for way in s.way}


def test_options_that_bar_each_other_or_share_a_slot_make_no_way_together() -> None:
    stream, one, other = joint()
    first, second = options_of(one, other)
    both = frozenset({first.option, second.option})
    assert both in ways_of([first, second], stream)
    barring = first.model_copy(update={"excludes": (second.option,)})
    assert both not in ways_of([barring, second], stream)
    beside = [each.model_copy(update={"slot": "one-place"}) for each in (first, second)]
    assert both not in ways_of(beside, stream)


@given(some.floats(min_value=1e4, max_value=1e6))
def test_margins_go_with_the_price_of_the_machine(price: float) -> None:
    stream, one, other = joint()
    options = options_of(one, other)
    usual = next(s for s in usual_kinds().stream if s.id == stream)
    (told,) = (s for s in proposed_streams(options, MACHINE, price) if s.id == stream)
    for corner in ("low", "likely", "high"):
        assert getattr(told.margin, corner) == pytest.approx(
            price * getattr(usual.margin, corner), rel=0.05
        )


def line(row: int, kind: str, **facts: object) -> ListLine:
    told = {"row": row, "role": "option", "text": f"line {row}", "price": 5e3, "kind": kind}
    return ListLine.model_validate({**told, **facts})


def begun(*lines: ListLine) -> Case:
    machine = line(1, "", role="machine", text="Mill (invented)", price=80e3)
    listing = Listing(
        file="list.csv", notes=(), currency="EUR", machine=MACHINE, lines=(machine, *lines)
    )
    return new_case(
        "made-up", listing, Wishes(machine=MACHINE, currency="EUR", quoted=date(2027, 1, 15))
    )


def test_a_call_out_and_a_day_are_parts_of_the_price_of_the_machine() -> None:
    kind = usual_kinds().machines[MACHINE]
    case = begun(line(2, "probe"))
    assert case.call_outs == {"default": pytest.approx(kind.call_out * 80e3, rel=0.05)}
    assert case.machine.margin_per_day == pytest.approx(kind.margin_per_day * 80e3, rel=0.05)


def test_a_line_without_words_is_called_like_its_kind() -> None:
    (option,) = begun(line(2, "probe", text="")).catalogue.options
    assert option.name == usual_kinds().by_id["probe"].name


def test_of_two_that_come_with_the_machine_in_one_slot_the_second_has_a_place_of_its_own() -> None:
    first, second, third = begun(
        line(2, "magazine", included=True, price=None),
        line(3, "magazine", included=True, price=None),
        line(4, "magazine"),
    ).catalogue.options
    assert first.slot == third.slot != second.slot
    assert first.standard
    assert second.standard
