"""The road to first chips in pictures: floor, moves, tasks, and what is ticked off."""

import re

import pytest
from streamlit.testing.v1 import AppTest

from optioneer.app.engine.drafts import Store
from optioneer.app.road.called import with_names
from optioneer.app.road.checklist import ToDo, day_said, things_to_do
from optioneer.app.road.floor_picture import floor, moves_picture
from optioneer.app.road.tasks_picture import road_picture
from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.ready.page import gantt_marks, gantt_rows
from optioneer.study.advice.package_choice import named_package
from optioneer.study.ready.answers import MoveStep, Readiness
from optioneer.study.ready.ready import readiness
from tests.app.test_money_pages import case_of, first_chips_page, opened, told
from tests.app.visits import current, small_mill

EUROS = Figures("EUR")


@pytest.fixture(scope="module")
def case() -> Case:
    return case_of(small_mill())


@pytest.fixture(scope="module")
def answer(case: Case) -> Readiness:
    return readiness(case, named_package(case, "bare"))


def test_every_task_has_a_row_inside_the_picture(answer: Readiness) -> None:
    html = road_picture(gantt_rows(answer), gantt_marks(answer))
    assert html.count('class="task"') == len(answer.tasks)
    ends = re.findall(r"left:([\d.]+)%;width:(-?[\d.]+)%", html)
    assert len(ends) == 2 * len(answer.tasks)
    for left, width in ends:
        assert 0 <= float(left) <= 100
        assert 0 <= float(width) <= 100.01
    assert answer.delivery.isoformat() in html


def test_the_floor_is_drawn_to_scale_or_not_at_all(case: Case) -> None:
    assert case.site is not None
    shop = case.site.shop.model_copy(update={"free_length_m": 10.0, "free_width_m": 5.0})
    needs = case.site.needs.model_copy(
        update={"length_m": 4.0, "width_m": 2.0, "service_m": (1.0, 1.0, 0.5, 0.5)}
    )
    site = case.site.model_copy(update={"shop": shop, "needs": needs})
    html = floor(site, EUROS)
    assert "left:10.00%;top:10.00%;width:40.00%;height:40.00%" in html
    assert "it fits" in html
    tight = site.model_copy(update={"shop": shop.model_copy(update={"free_width_m": 2.5})})
    assert "it does not fit" in floor(tight, EUROS)
    untold = site.model_copy(update={"needs": needs.model_copy(update={"length_m": None})})
    assert floor(untold, EUROS) == ""


def test_a_move_marks_the_place_that_is_left_and_the_one_that_is_taken() -> None:
    move = MoveStep(step=1, item="saw", to="bay-2+bay-3", parked=True, **{"from": "bay-1"})
    html = moves_picture([move], ["bay-1"])
    assert '<span class="from">bay 1</span>' in html
    assert '<span class="to">bay 2</span><span class="to">bay 3</span>' in html
    assert "from bay 1 to bay 2 and bay 3" in html
    assert "for a while" in html


def test_what_is_to_be_done_comes_by_its_day_and_says_what_with_names(
    case: Case, answer: Readiness
) -> None:
    assert case.site is not None
    things = things_to_do(case.site, answer)
    days = [one.by for one in things if one.by]
    assert days == sorted(days)
    assert len(days) == len(things)
    kinds = (answer.purchases, answer.bookings, answer.moves)
    assert len(things) == sum(map(len, kinds))
    moved = next(one for one in things if one.key == "move-2-work-bench")
    assert moved.said == "Move the big bench from side and window to back 2"
    assert moved.planned == "2027-07-06"


def test_a_thing_to_do_says_by_when_whether_it_is_late_and_when_it_was_done() -> None:
    thing = ToDo("order", "Order oil", "2027-03-10", "2027-03-01")
    assert day_said(thing, {}, "2027-03-10") == "by 2027-03-10, planned 2027-03-01"
    assert day_said(thing, {}, "2027-03-11") == "by 2027-03-10, planned 2027-03-01, late"
    assert day_said(thing, {"order": "2027-03-04"}, "2027-03-11") == "done 2027-03-04"
    assert day_said(ToDo("move", "Move it", ""), {}, "2027-03-11") == "no day is known"


def test_pages_say_names_of_trades_and_things_not_their_ids(case: Case, answer: Readiness) -> None:
    assert case.site is not None
    told_by_name = with_names(case.site, answer)
    assert {one.item for one in told_by_name.moves} >= {"the big bench", "the knee mill"}
    assert "service engineer" in {one.trade for one in told_by_name.bookings}


def box_label(test: AppTest) -> str:
    """What the first box says."""
    return str(next(each for each in test.checkbox if str(each.key).startswith("done-")).label)


def ticked(test: AppTest) -> list[bool]:
    return [box.value for box in test.checkbox if str(box.key).startswith("done-")]


def test_what_is_ticked_off_stays_so() -> None:
    test = opened(first_chips_page, small_mill())
    box = next(each for each in test.checkbox if str(each.key).startswith("done-"))
    box.set_value(True).run()
    assert "To do: 1 of" in told(test)
    draft = current(test)
    assert len(Store().desk(draft.id)[f"done-{draft.id}"]) == 1
    assert "done 20" in box_label(test)
    box = next(each for each in test.checkbox if str(each.key).startswith("done-"))
    box.set_value(False).run()
    assert not any(ticked(test))
    assert Store().desk(draft.id)[f"done-{draft.id}"] == {}
