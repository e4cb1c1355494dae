"""Why a verdict is what it is."""

from statistics import NormalDist

import pytest

from optioneer.model.growth import Driver
from optioneer.reports.advice.dependents import chance_of, price_later
from optioneer.reports.advice.words import Telling, otherwise_sentence, verdict_sentence
from optioneer.reports.page.money import Figures
from tests import shop

TELLING = Telling(shop.case(), shop.ADVISED, Figures("USD"))
SAID = {answer.option: verdict_sentence(TELLING, answer) for answer in shop.verdicts()}


@pytest.mark.parametrize(
    ("option", "fragments"),
    [
        ("sub-spindle", ["Can only be built in at the factory", "shaft work (80% likely)"]),
        ("sub-spindle", ["Doing without it would cost $41,237 ± 912 more."]),
        ("pockets-60", ["Of use for families of small parts (certain)"]),
        ("auto-door", ["Required before Robot cell can be fitted", "a bundle that saves $800"]),
        ("auto-door", ["$4,800.50 now, about $15,000 if fitted later", "2 days of standstill"]),
        ("robot-interface", ["makes it cheaper to fit Robot cell later"]),
        ("robot-cell", ["Fitted later in 41% of futures, typically 3.2 years after first chips"]),
        ("robot-cell", ["at a present cost of about $58,500"]),
        ("work-probe", ["Too close to call: ordering it now would cost $300 ± 420 less."]),
        ("chip-conveyor", ["a credit of $4,000", "Too close to call: doing without it"]),
        ("work-light", ["cannot be left off. There is no other choice."]),
        ("pockets-24", ["60 tool pockets is ordered in its place", "Keeping it would cost"]),
        ("big-bore", ["Cannot be on the machine together with Sub-spindle"]),
        ("coolant-70", ["titanium brackets (12% likely)", "in under 1% of futures"]),
        ("oil-skimmer", ["No work on your list needs it."]),
    ],
)
def test_a_verdict_names_its_reason(option: str, fragments: list[str]) -> None:
    assert [fragment for fragment in fragments if fragment not in SAID[option]] == []


def test_what_is_left_off_for_good_is_said_to_be() -> None:
    answer = shop.verdict("big-bore", "leave off", 9000.0)
    telling = Telling(shop.case(), ("work-light",), Figures("USD"))
    assert "it can never be added later" in verdict_sentence(telling, answer)


def test_the_price_later_holds_multiplier_standstill_and_visit() -> None:
    # by hand: 6200 x (1.2 + 1.4 + 1.9) / 3 + 1 day x 1400 + one visit of 1800
    probe = shop.case().catalogue.by_id["work-probe"]
    assert price_later(shop.case(), probe, ()) == pytest.approx(6200 * 1.5 + 1400 + 1800)


def test_the_price_later_is_eased_by_what_is_fitted() -> None:
    # by hand: 62000 x (1 + 1 + 1.1) / 3 + one visit of 1800
    cell = shop.case().catalogue.by_id["robot-cell"]
    eased = price_later(shop.case(), cell, ("robot-interface",))
    assert eased == pytest.approx(62_000 * 3.1 / 3 + 1800)


def test_a_nudged_driver_shifts_the_chance_that_is_told() -> None:
    # by hand: loading 0.6, nudge 1: Phi(0.6 + Phi^-1(0.45))
    growth = shop.growth().model_copy(update={"driver": (Driver(id="automation", nudge=1.0),)})
    case = shop.case(growth=growth)
    night = next(stream for stream in case.growth.stream if stream.id == "night")
    normal = NormalDist()
    assert chance_of(case, night) == pytest.approx(normal.cdf(0.6 + normal.inv_cdf(0.45)))
    assert chance_of(shop.case(), night) == 0.45


def test_choosing_otherwise_is_never_said_without_its_error() -> None:
    for answer in shop.verdicts():
        said = otherwise_sentence(TELLING, answer)
        assert ("±" in said) == (answer.otherwise is not None)
