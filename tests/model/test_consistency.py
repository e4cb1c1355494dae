"""What facts must be to one another, for cases built without files. All figures are invented."""

from datetime import date
from typing import Any

import pytest
from pydantic import ValidationError

from optioneer.errors import CaseError, Fault
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks import consistency
from optioneer.model.checks.circles import circles
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Machine, Package

CERTAIN = Triangular(low=1.5, likely=1.5, high=1.5)


def option(of: str, **more: Any) -> Option:
    raw = {"option": of, "name": of, "price": 1000.0, "fitting": "retrofittable"}
    return Option(**raw | {"multiplier": CERTAIN} | more)


def stream(name: str, **more: Any) -> Stream:
    raw = {"id": name, "chance": 0.5, "years": CERTAIN, "margin": CERTAIN}
    return Stream(**raw | {"way": (Way(options=("probe",)),)} | more)


def case(*options: Option, growth: dict[str, Any] | None = None, **more: Any) -> Case:
    machine = {"name": "A machine", "kind": "mill", "base_price": 1e5, "margin_per_day": 900.0}
    raw: dict[str, Any] = {
        "name": "built",
        "machine": Machine(**machine, currency="EUR"),
        "dates": Dates(order=date(2027, 2, 1), build_weeks=20),
        "call_outs": {"default": 1400.0},
        "catalogue": Catalogue(options=options or (option("probe"),)),
        "growth": Growth(**{"horizon_years": 8.0, "discount_rate": 0.09, **(growth or {})}),
    }
    return Case(**raw | more)


def told(found: tuple[Fault, ...]) -> list[str]:
    return [str(fault) for fault in found]


def test_a_case_that_fits_together_is_handed_back() -> None:
    fine = case(growth={"stream": (stream("work"),)})
    assert consistency.checked(fine) is fine


def test_all_faults_of_a_built_case_are_raised_together() -> None:
    wrong = case(
        option("probe", requires=("setter",)),
        growth={"stream": (stream("work", drivers={"auto": 0.5}),)},
    )
    with pytest.raises(CaseError) as caught:
        consistency.checked(wrong)
    assert told(caught.value.faults) == [
        ("options.csv, option 'probe', requires: there is no option 'setter'. Allowed: probe."),
        "growth.toml, stream 'work', drivers: there is no driver 'auto'. None is defined.",
    ]


def test_ids_used_twice_and_blank_names_are_faults() -> None:
    wrong = case(option("probe"), option("probe", name=""))
    places = [fault.where for fault in consistency.faults(wrong)]
    assert places == ["options.csv, option 'probe', name", "options.csv, option 'probe', option"]


def test_easing_in_a_circle_of_slots_is_refused_and_names_the_slots() -> None:
    eased = {"eased": CERTAIN}
    wrong = case(
        option("a", slot="s", eased_by="b", **eased),
        option("b", slot="t"),
        option("c", slot="t", eased_by="d", **eased),
        option("d", slot="s"),
    )
    (fault,) = consistency.faults(wrong)
    assert fault.where == "options.csv, option 'a', eased_by"
    assert fault.what == "slot 's' is eased from slot 't' is eased from slot 's'"


def test_easing_inside_a_slot_and_along_a_chain_of_slots_is_fine() -> None:
    eased = {"eased": CERTAIN}
    fine = case(
        option("prepared", slot="robot"),
        option("complete", slot="robot", eased_by="prepared", **eased),
        option("door", eased_by="prepared", **eased),
        option("kit", eased_by="door", **eased),
    )
    assert consistency.faults(fine) == ()


def test_two_circles_of_requirements_are_both_told() -> None:
    pairs = {"a": "b", "b": "a", "c": "d", "d": "e", "e": "c"}
    wrong = case(*(option(name, requires=(other,)) for name, other in pairs.items()))
    assert [fault.what for fault in consistency.faults(wrong)] == [
        "'a' requires 'b' requires 'a'",
        "'c' requires 'd' requires 'e' requires 'c'",
    ]


def test_circles_are_found_until_none_is_left() -> None:
    ring = {str(number): [str((number + 1) % 5)] for number in range(5)}
    assert list(circles({**ring, "x": ["x"]})) == [("0", "1", "2", "3", "4"), ("x",)]
    assert list(circles({"a": ["b", "c"], "b": ["c"], "c": []})) == []


def test_a_standard_that_must_stay_rules_out_what_excludes_it() -> None:
    wrong = case(option("std", standard=True), option("probe", excludes=("std",)), option("fine"))
    (fault,) = consistency.faults(wrong)
    assert fault.where == "options.csv, option 'probe', requires"
    assert fault.what == (
        "it can never be ordered: nothing that may fill the slot 'std' can stand beside it"
    )
    left_off = option("std", standard=True, delete_credit=0.0)
    rest = wrong.catalogue.options[1:]
    assert consistency.faults(case(left_off, *rest)) == ()


def test_standards_that_no_choice_reconciles_are_told_once_and_not_for_every_option() -> None:
    wrong = case(
        option("s", standard=True, excludes=("t",)), option("t", standard=True), option("probe")
    )
    assert [fault.what for fault in consistency.faults(wrong)] == [
        "the standard machine breaks its own rules: 's' excludes 't'",
        "no machine at all can be ordered: nothing that may fill the slot 's' can stand beside it",
    ]


def test_a_package_may_leave_out_a_standard_that_it_replaces() -> None:
    fine = case(
        option("slow", slot="spindle", standard=True),
        option("fast", slot="spindle"),
        packages=(Package(id="p", options=("fast",), without=("slow",)),),
    )
    assert consistency.faults(fine) == ()


def test_loadings_whose_squares_sum_to_one_are_fine() -> None:
    """0.6^2 + 0.8^2 = 1, which floating point may miss by a hair."""
    drivers = (Driver(id="a"), Driver(id="b"))
    work = stream("work", drivers={"a": 0.6, "b": 0.8})
    assert consistency.faults(case(growth={"stream": (work,), "driver": drivers})) == ()


@pytest.mark.parametrize(("years", "faults"), [(0.124, 1), (0.125, 0), (0.1, 1), (0.25, 0)])
def test_work_lasts_a_period_from_half_a_period_up(years: float, faults: int) -> None:
    found = consistency.faults(case(growth={"stream": (stream("work", lasts_years=years),)}))
    assert len(found) == faults


@pytest.mark.parametrize(("years", "periods", "faults"), [(1.5, 4, 0), (1 / 3, 3, 0), (1.1, 4, 1)])
def test_the_horizon_is_a_whole_number_of_periods(years: float, periods: int, faults: int) -> None:
    growth = {"horizon_years": years, "periods_per_year": periods}
    assert len(consistency.faults(case(growth=growth))) == faults


def test_what_does_nothing_or_surprises_is_a_note() -> None:
    odd = case(
        option("probe", fitting="factory-only"),
        option("door"),
        growth={
            "stream": (
                stream("idle", way=()),
                stream("weak", fallback=0.5, way=(Way(options=("probe",), share=0.5),)),
            )
        },
        bundles=(Bundle(id="b", options=("probe", "door"), discount=2500.0),),
        dates=Dates(order=date(2027, 2, 1), build_weeks=20, first_chips=date(2027, 3, 1)),
        call_outs={"default": 0.0},
    )
    assert consistency.faults(odd) == ()
    assert [note.where for note in consistency.notes(odd)] == [
        "options.csv, option 'probe', multiplier",
        "machine.toml, bundle 'b', discount",
        "growth.toml, stream 'idle'",
        "growth.toml, stream 'weak', way 1, share",
        "machine.toml, dates, first_chips",
        "machine.toml, call_out, default",
    ]


def test_a_case_without_work_is_a_note() -> None:
    assert [note.what for note in consistency.notes(case())] == ["names no work stream"]


@pytest.mark.parametrize("value", ["1000", True, float("nan"), float("inf"), -1.0, 1e12, 10**400])
def test_a_price_is_a_number_and_nothing_that_could_be_made_one(value: object) -> None:
    with pytest.raises(ValidationError):
        option("probe", price=value)


@pytest.mark.parametrize("value", ["2027-02-01", 20270201, date(1989, 12, 31), date(2101, 1, 1)])
def test_a_date_is_a_date_of_our_time(value: object) -> None:
    with pytest.raises(ValidationError):
        Dates(order=value)


def test_a_copy_is_checked_and_forgets_what_was_worked_out() -> None:
    catalogue = Catalogue(options=(option("a"), option("b")))
    assert set(catalogue.by_id) == {"a", "b"}
    assert set(catalogue.model_copy(update={"options": (option("c"),)}).by_id) == {"c"}
    with pytest.raises(ValidationError):
        option("a").model_copy(update={"price": -1.0})
    with pytest.raises(ValidationError):
        option("a").model_copy(update={"prize": 1.0})
