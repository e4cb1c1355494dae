"""The buyer's matrix: what gives way to a tick, what clashes, what cures it, what differs."""

import pytest

from optioneer.app.dealer.matrix import columns_of, differing, matrix_rows
from optioneer.app.dealer.ticks import Clash, clashes, ticks_after, ticks_after_cures
from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import reading_of
from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from tests.app.visits import small_mill

EUROS = Figures("EUR")


@pytest.fixture(scope="module")
def case() -> Case:
    return reading_of("small-mill", small_mill()).case


@pytest.fixture(scope="module")
def told(case: Case) -> Advice:
    return advice(AdviceRequest(case))


@pytest.fixture(scope="module")
def orders(case: Case) -> Orders:
    return Orders(case.catalogue)


def standard(case: Case) -> frozenset[str]:
    return frozenset(option.option for option in case.catalogue.standards)


def test_a_tick_takes_the_place_of_what_was_there(case: Case, orders: Orders) -> None:
    base = standard(case)
    place = next(slot for slot in case.catalogue.slots if len(slot.options) > 1)
    there = next(one.option for one in place.options if one.option in base)
    other = next(one.option for one in place.options if one.option != there)
    assert ticks_after(orders, base, base, {other: True}) == base - {there} | {other}


def test_edits_add_up_and_can_be_taken_back(case: Case, orders: Orders) -> None:
    base = standard(case)
    single = next(s.options[0].option for s in case.catalogue.slots if len(s.options) == 1)
    ticked = ticks_after(orders, base, base, {single: True})
    assert single in ticked
    assert ticks_after(orders, base, ticked, {single: False}) == base - {single}


def test_every_package_of_the_case_has_no_clash(case: Case, orders: Orders) -> None:
    for package in case.packages:
        assert clashes(case, everything_fitted(orders, package)) == ()


def test_whatever_is_ticked_without_what_it_needs_is_told_with_its_cure(case: Case) -> None:
    needing = next(option for option in case.catalogue.options if option.requires)
    held = standard(case) | {needing.option} - set(needing.requires)
    found = clashes(case, held)
    mine = next(clash for clash in found if clash.option == needing.option)
    assert case.catalogue.by_id[needing.requires[0]].name in mine.said
    assert needing.requires[0] in mine.tick


def test_cures_end_in_a_package_that_can_be_ordered() -> None:
    folder = next(each for each in demo_folders() if each.name == "mill-turn")
    case = reading_of("mill-turn", {p.name: p.read_text("utf-8") for p in folder.iterdir()}).case
    orders = Orders(case.catalogue)
    for option in case.catalogue.options:
        held = ticks_after(orders, standard(case), standard(case), {option.option: True})
        for _ in range(5):
            held = ticks_after_cures(held, clashes(case, held))
        assert orders.breach(held) is None, option.option


def test_of_two_that_exclude_each_other_one_goes() -> None:
    both = (Clash("a", "", untick=("b",)), Clash("b", "", untick=("a",)))
    assert ticks_after_cures({"a", "b"}, both) == {"a"}


def test_only_differences_are_those_of_the_columns(case: Case, told: Advice) -> None:
    columns = columns_of(case, told, ())
    options = list(case.catalogue.by_id)
    shown = differing(columns, options)
    assert 0 < len(shown) < len(options)
    for option in options:
        assert (option in shown) == (len({says[option] for says in columns.values()}) > 1)


def test_a_row_tells_verdict_what_is_now_or_never_and_the_clash(case: Case, told: Advice) -> None:
    option = next(one for one in case.catalogue.options if not one.retrofittable)
    rows = matrix_rows(case, told, {}, [Clash(option.option, "needs rest")], EUROS)
    assert list(rows) == list(case.catalogue.by_id)
    row = rows[option.option]
    assert row["to mind"] == "needs rest"
    assert row["option"] == option.name
    for one in case.catalogue.options:
        only = not one.retrofittable and not one.standard
        assert (rows[one.option]["later"] == "now or never") == only
