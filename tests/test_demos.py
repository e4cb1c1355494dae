"""What the demo cases promise."""

import math
from functools import cache
from pathlib import Path

import pytest

from optioneer.files.case.read import read_case, reading
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.study.advice.advice import advice
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.compare.compare import ComparisonRequest, comparison
from optioneer.study.compare.currencies import asked_exchange
from optioneer.study.problem.clusters import clusters
from optioneer.study.problem.futures import with_draws

DEMOS = Path(__file__).parents[1] / "catalogs_demo"
NAMES = ("mill-turn", "small-mill")


@cache
def demo(name: str) -> Case:
    return read_case(DEMOS / name)


def packages_by_cluster(case: Case) -> list[int]:
    return [
        math.prod(len(slot.options) + slot.may_be_empty for slot in slots)
        for slots in clusters(case)
    ]


@pytest.mark.parametrize("name", NAMES)
def test_it_reads_without_a_fault_or_a_notice(name: str) -> None:
    assert demo(name).name == name
    assert reading(DEMOS / name).notices == ()


@pytest.mark.parametrize("name", NAMES)
def test_its_files_say_that_they_are_invented(name: str) -> None:
    for file in ("machine.toml", "growth.toml"):
        comments = (DEMOS / name / file).read_text(encoding="utf-8").split("\n\n")[0]
        assert "nvented for the demo" in comments


@pytest.mark.parametrize("name", [*NAMES, "second-mill"])
def test_it_tells_hours_everyday_work_lives_stays_and_later_prices(name: str) -> None:
    case = demo(name)
    assert case.hours is not None
    assert case.hours.beyond
    (everyday,) = [stream for stream in case.growth.stream if stream.id == "everyday"]
    assert everyday.chance == 1.0
    assert any(way.options == () for way in everyday.way)
    lives = [stream.lasts_years for stream in case.growth.stream]
    assert sum(isinstance(years, Triangular) for years in lives) >= 4
    assert isinstance(case.machine.kept_years, Triangular)
    assert sum(option.later_price is not None for option in case.catalogue.options) >= 2


@pytest.mark.parametrize("name", NAMES)
def test_its_growth_can_be_nudged_by_automation(name: str) -> None:
    assert demo(name).growth.driver[0].id == "automation"


def test_the_mill_turn_is_large() -> None:
    case = demo("mill-turn")
    assert len(case.catalogue.options) >= 26
    assert len(case.catalogue.slots) >= 20
    assert len(case.growth.stream) >= 10
    assert len(case.growth.driver) == 4
    assert case.growth.periods == 40


def test_the_mill_turn_falls_into_clusters_small_enough_to_be_quick() -> None:
    sizes = packages_by_cluster(demo("mill-turn"))
    assert max(sizes) <= 400
    assert sum(sizes) <= 700


def test_the_small_mill_is_small_and_in_another_currency() -> None:
    case = demo("small-mill")
    assert case.machine.currency != demo("mill-turn").machine.currency
    assert sum(packages_by_cluster(case)) < 50


@cache
def advised(name: str) -> Advice:
    """The advice on a demo as it stands; proven, for the proof says what is close, too."""
    return advice(AdviceRequest(demo(name), prove=True))


def fewer(name: str) -> Case:
    """A demo on a quarter of its futures."""
    return with_draws(demo(name), demo(name).growth.futures // 4)


def automated(name: str) -> Advice:
    """The advice on a demo when automation is much likelier, on a quarter of its futures."""
    case = fewer(name)
    first, *others = case.growth.driver
    drivers = (first.model_copy(update={"nudge": 1.0}), *others)
    growth = case.growth.model_copy(update={"driver": drivers})
    return advice(AdviceRequest(case.model_copy(update={"growth": growth})))


def verdicts(told: Advice) -> dict[str, str]:
    return {answer.option: answer.verdict for answer in told.options}


@pytest.mark.parametrize("name", NAMES)
def test_it_shows_every_verdict(name: str) -> None:
    assert set(verdicts(advised(name)).values()) == {"order now", "leave for retrofit", "leave off"}


def test_the_mill_turn_shows_a_close_call() -> None:
    assert any(answer.close_call for answer in advised("mill-turn").options)


@pytest.mark.parametrize(
    ("name", "turning"), [("mill-turn", "robot-interface"), ("small-mill", "automatic-door")]
)
def test_more_automation_turns_a_verdict(name: str, turning: str) -> None:
    assert verdicts(advised(name))[turning] == "leave for retrofit"
    assert verdicts(automated(name))[turning] == "order now"


@pytest.mark.parametrize("name", NAMES)
def test_the_advice_beats_every_candidate(name: str) -> None:
    told = advised(name)
    assert len(told.packages) == len(demo(name).packages) + 2
    assert all(package.npc > told.advised.npc for package in told.packages)


def test_the_second_mill_is_a_quote_on_the_small_mills_work_in_another_currency() -> None:
    assert reading(DEMOS / "second-mill").notices == ()
    assert "nvented for the demo" in (DEMOS / "second-mill" / "machine.toml").read_text("utf-8")
    rate = asked_exchange(["USD=0.92"], day="2026-11-20")
    told = comparison(ComparisonRequest((demo("small-mill"), demo("second-mill")), exchange=rate))
    assert told.quotes[1].without_way == ("night-lots",)
    assert told.quotes[1].left_out == ("graphite",)
    best = {package.case: package for package in told.packages if package.id == "advised"}
    assert told.packages[0] is best["small-mill"]
    # Dearer on average, yet the better buy in a good part of the futures.
    assert 0.1 < best["second-mill"].chance_best < 0.5
