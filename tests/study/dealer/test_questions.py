"""The questions to the dealer: each verdict and each gap of the case raises its own."""

from datetime import date

import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.machine import Package
from optioneer.model.paying import Paying
from optioneer.study.dealer.questions import questions
from optioneer.study.dealer.wish import Topic, WishItem, WishQuestion
from tests import shop

ADVISED = Package(
    id="advised", options=("auto-door", "pockets-60", "robot-interface", "sub-spindle")
)


def asked(case: Case | None = None, package: Package = ADVISED) -> dict[Topic, WishQuestion]:
    made = questions(case or shop.case(), package, advice=shop.advice())
    return {question.topic: question for question in made}


def names(question: WishQuestion) -> list[str]:
    return [each.option for each in question.asked]


@pytest.mark.parametrize("topic", ["prepare", "later price", "downtime"])
def test_what_is_left_for_a_retrofit_is_asked_about(topic: Topic) -> None:
    assert names(asked()[topic]) == ["robot-cell", "work-probe", "tool-setter"]


@pytest.mark.parametrize("topic", ["prepare", "later price", "downtime"])
def test_a_retrofit_that_is_unlikely_is_not_asked_about(topic: Topic) -> None:
    told = shop.advice()
    options = tuple(
        each.model_copy(update={"chance_fitted_later": chance})
        if (chance := {"robot-cell": 0.0999, "work-probe": 0.1}.get(each.option))
        else each
        for each in told.options
    )
    heads = {each.option: each.waiting for each in options if each.waiting}
    assert heads == {"robot-cell": "unlikely", "work-probe": "possible", "tool-setter": "planned"}
    made = questions(shop.case(), ADVISED, advice=told.model_copy(update={"options": options}))
    (question,) = [each for each in made if each.topic == topic]
    assert names(question) == ["work-probe", "tool-setter"]


def test_the_price_of_a_later_retrofit_that_is_reckoned_with_is_told() -> None:
    figures = {each.option: each.figure for each in asked()["later price"].asked}
    # 62,000 eased by the interface that is ordered: x 1.0; 6,200 x 1.4; 4,100 x 1.5
    assert figures == {"robot-cell": 62_000, "work-probe": 8_680, "tool-setter": 6_150}


def test_without_the_option_that_eases_a_retrofit_the_dearer_multiplier_counts() -> None:
    bare = Package(id="bare")
    figures = {e.option: e.figure for e in asked(package=bare)["later price"].asked}
    assert figures["robot-cell"] == pytest.approx(62_000 * 1.2)


def test_what_is_ordered_for_a_later_retrofit_is_said_beside_it() -> None:
    cell, *others = asked()["prepare"].asked
    assert cell.note == "ordered for it: Automatic door, Robot interface"
    assert [each.note for each in others] == ["", ""]


@pytest.mark.parametrize(
    ("package", "note"),
    [
        (ADVISED, "ordered for it: Robot interface"),
        (Package(id="bare"), "also needed or helpful: Robot interface"),
    ],
)
def test_what_only_eases_a_later_retrofit_is_said_beside_it_too(
    package: Package, note: str
) -> None:
    case = shop.case()
    options = tuple(
        one.model_copy(update={"requires": ()}) if one.option == "robot-cell" else one
        for one in case.catalogue.options
    )
    freed = case.model_copy(update={"catalogue": Catalogue(options=options)})
    cell = next(e for e in asked(freed, package)["prepare"].asked if e.option == "robot-cell")
    assert cell.note == note


def test_a_call_that_is_too_close_is_put_to_the_dealer() -> None:
    assert [(e.option, e.note) for e in asked()["undecided"].asked] == [
        ("chip-conveyor", "in the list above"),
        ("work-probe", "not in the list above"),
    ]


def test_what_only_the_factory_can_fit_and_work_needs_is_to_be_confirmed() -> None:
    bare = Package(id="bare")
    assert names(asked(package=bare)["never"]) == [
        "pockets-60",
        "sub-spindle",
        "robot-interface",
        "big-bore",
    ]
    # the big bore excludes the sub-spindle that is ordered: no use to ask
    assert "never" not in asked()


def test_a_standard_item_that_is_left_off_is_asked_for_with_its_credit() -> None:
    without = ADVISED.model_copy(update={"without": ("chip-conveyor",)})
    off, stays = asked(package=without)["deletion credit"].asked
    assert (off.option, off.figure) == ("chip-conveyor", 4000.0)
    assert (stays.option, stays.figure) == ("work-light", None)


def test_a_bundle_that_is_complete_is_to_be_confirmed() -> None:
    (bundle,) = asked()["price"].asked
    assert bundle == WishItem(
        what="Automatic door, Robot interface", figure=-800.0, unit="money", note="together"
    )


def test_stages_of_payment_are_those_of_the_first_plan_that_has_some() -> None:
    stages = [{"share": 0.3, "when": "order"}, {"share": 0.7, "when": "accepted + 30 days"}]
    paying = Paying.model_validate({"plan": [{"id": "own", "kind": "staged", "stages": stages}]})
    told = asked(shop.case(paying=paying))["payment"]
    assert [(e.what, e.figure) for e in told.asked] == [("order", 0.3), ("accepted + 30 days", 0.7)]
    assert told.text.startswith("Please confirm")
    assert asked()["payment"].asked == ()


def test_figures_that_are_not_known_are_asked_for_as_missing() -> None:
    assert {each.figure for each in asked()["power and air"].asked} == {None}
    dated = shop.case(dates=shop.case().dates.model_copy(update={"build_weeks": 20.0}))
    assert [e.figure for e in asked(dated)["lead time"].asked] == [20.0, None, None]
    assert shop.case().dates.order == date(2027, 2, 1)


def test_without_advice_all_that_could_come_later_and_has_work_is_asked_about() -> None:
    made = {q.topic: q for q in questions(shop.case(), ADVISED)}
    assert names(made["later price"]) == ["robot-cell", "work-probe", "coolant-70", "tool-setter"]
    assert "undecided" not in made


def test_a_rival_of_what_is_ordered_is_not_asked_about() -> None:
    package = Package(id="p", options=("pockets-60",))
    made = {q.topic: q for q in questions(shop.case(), package)}
    assert names(made["never"]) == ["sub-spindle", "robot-interface", "big-bore"]
