from dataclasses import replace

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Way
from optioneer.model.machine import Hours
from optioneer.study.unknowns.ranges import TOLD, WHY, Ranged, Spreads, ranged_figures
from optioneer.study.worth.figures import FIGURES
from tests.oracle import cases

CASE = cases.driven()


def ends(*only: str, spreads: Spreads | None = None) -> dict[str, tuple[float, float]]:
    found = ranged_figures(CASE, spreads, only)
    return {str(each.figure): (each.low, each.high) for each in found}


def test_every_figure_that_nobody_knows_has_a_range() -> None:
    assert ends() == {
        "nudge automation": (-1.0, 1.0),
        "chance first": (0.2, 0.4),
        "margin first": (800.0, 1200.0),
        "years first": (0.0, 1.5),
        "lasts-years first": (2.5, 5.0),
        "chance second": (0.2, 0.4),
        "margin second": (pytest.approx(20800.0), pytest.approx(31200.0)),
        "years second": (1.5, 3.5),
        "lasts-years second": (1.0, 3.0),
        "fallback second": (0.0, 0.2),
        "multiplier sensor": (pytest.approx(1.04), pytest.approx(1.56)),
        "later-price sensor": (pytest.approx(12000.0), pytest.approx(18000.0)),
        "kept-years": (2.5, 5.0),
        "discount-rate": (0.03, 0.07),
        "horizon": (3.0, 7.0),
    }


def test_what_the_bare_machine_does_has_no_use_for_a_fallback() -> None:
    assert not [name for name in ends("first") if name.startswith("fallback")]
    first, second = CASE.growth.stream
    poor = first.model_copy(update={"way": (Way(options=(), share=0.1),)})
    growth = CASE.growth.model_copy(update={"stream": (poor, second)})
    found = ranged_figures(CASE.model_copy(update={"growth": growth}), None, ["fallback"])
    assert [str(each.figure) for each in found] == ["fallback first", "fallback second"]


def told(**stream: object) -> Case:
    """The case with some of what its second stream can tell."""
    first, second = CASE.growth.stream
    growth = CASE.growth.model_copy(update={"stream": (first, second.model_copy(update=stream))})
    return CASE.model_copy(update={"growth": growth})


def test_growth_swing_and_standstill_are_varied_where_they_are_told() -> None:
    case = told(growth=0.03, swing=0.2)
    options = [
        each.model_copy(update={"downtime_days": 3.0}) if each.option == "sensor" else each
        for each in case.catalogue.options
    ]
    case = case.model_copy(update={"catalogue": Catalogue(options=tuple(options))})
    found = {str(e.figure): (e.low, e.high) for e in ranged_figures(case)}
    assert found["growth second"] == (0.01, 0.05)
    assert found["swing second"] == pytest.approx((0.1, 0.3))
    assert found["downtime-days sensor"] == (1.5, 4.5)


def test_work_that_is_there_with_the_machine_comes_neither_earlier_nor_later() -> None:
    case = told(years=Triangular(low=0.0, likely=0.0, high=0.0))
    assert "years second" not in {str(each.figure) for each in ranged_figures(case)}


def test_lives_and_stays_that_are_told_are_a_year_and_two_off() -> None:
    case = told(lasts_years=3.0)
    case = case.model_copy(update={"machine": case.machine.model_copy(update={"kept_years": 4.0})})
    found = {str(e.figure): (e.low, e.high) for e in ranged_figures(case)}
    assert found["lasts-years second"] == (2.0, 4.0)
    assert found["kept-years"] == (2.0, 5.0)  # to the horizon at most


def test_a_range_that_is_told_is_used_as_it_is() -> None:
    case = told(
        chance=Triangular(low=0.1, likely=0.3, high=0.4),
        lasts_years=Triangular(low=1.0, likely=1.0, high=4.0),
    )
    kept = {"kept_years": Triangular(low=3.0, likely=4.0, high=4.5)}
    case = case.model_copy(update={"machine": case.machine.model_copy(update=kept)})
    found = {str(e.figure): e for e in ranged_figures(case, Spreads(chance=0.0, wait=0.0))}
    ranges = {
        "chance second": (0.1, 0.3, 0.4),
        "lasts-years second": (1.0, 1.0, 4.0),
        "kept-years": (3.0, 4.0, 4.5),
    }
    for name, (low, here, high) in ranges.items():
        each = found[name]
        assert (each.low, each.here, each.high) == (low, here, high)
        assert each.figure.known
        assert each.why == TOLD


def test_hours_are_varied_where_they_are_limited_and_taken() -> None:
    kinds = ["hours", "attended", "beyond"]
    case = told(hours=900.0)
    hours = Hours(attended=1700.0, beyond=60.0)
    limited = case.model_copy(update={"hours": hours})
    found = {str(e.figure): (e.low, e.high) for e in ranged_figures(limited, None, kinds)}
    assert found == {
        "hours second": pytest.approx((720.0, 1080.0)),
        "attended": pytest.approx((1360.0, 2040.0)),
        "beyond": pytest.approx((48.0, 72.0)),
    }
    without = CASE.model_copy(update={"hours": hours})  # no work takes any
    for unlimited in (case, without):
        assert {each.figure.what for each in ranged_figures(unlimited)}.isdisjoint(kinds)


def test_every_kind_of_figure_but_a_quoted_price_has_a_reason() -> None:
    assert set(WHY) == set(FIGURES) - {"price"}


def test_ranges_end_where_the_model_does() -> None:
    wide = Spreads(nudge=20.0, chance=0.5, rate=0.5, years=9.0)
    found = ends(spreads=wide)
    assert found["nudge automation"] == (-10.0, 10.0)
    assert found["chance first"] == (0.0, 0.8)
    assert found["discount-rate"] == (0.0, 0.55)
    assert found["horizon"] == (1.0, 14.0)


def test_swings_and_hours_end_there_too() -> None:
    case = told(swing=2.5, hours=90_000.0)
    hours = Hours(attended=8000.0)
    found = ranged_figures(case.model_copy(update={"hours": hours}))
    ends = {str(each.figure): (each.low, each.high) for each in found}
    assert ends["swing second"] == (1.25, 3.0)
    assert ends["hours second"] == (72e3, 100e3)
    assert ends["attended"] == (6400.0, 8784.0)


def test_a_spread_of_nothing_leaves_a_figure_as_it_is() -> None:
    still = {"wait": 0.0, "fallback": 0.0, "rough": 0.0}
    found = ends(spreads=Spreads(nudge=0.0, part=0.0, rate=0.0, years=0.0, **still))
    assert set(found) == {"chance first", "chance second"}
    with pytest.raises(RequestError, match="Nothing is varied"):
        ends(spreads=Spreads(0.0, 0.0, 0.0, 0.0, 0.0, **still))


def test_it_can_be_kept_to_a_name_or_a_kind() -> None:
    kinds = ("chance", "margin", "years", "lasts-years", "fallback")
    assert set(ends("second")) == {f"{kind} second" for kind in kinds}
    assert set(ends("chance", "automation")) == {
        "nudge automation",
        "chance first",
        "chance second",
    }
    with pytest.raises(RequestError, match=r"'secnod' is no figure that is varied\. .*second"):
        ends("secnod")


@pytest.mark.parametrize(
    "wrong", [{"chance": -0.1}, {"part": 1.0}, {"rough": 1.0}, {"rate": float("nan")}]
)
def test_spreads_that_make_no_sense_are_refused(wrong: dict[str, float]) -> None:
    with pytest.raises(RequestError, match=r"is not allowed|nothing or less"):
        ends(spreads=replace(Spreads(), **wrong))


def test_what_a_case_already_nudges_is_the_middle() -> None:
    growth = CASE.growth.model_copy(update={"driver": (Driver(id="automation", nudge=0.5),)})
    found = ranged_figures(CASE.model_copy(update={"growth": growth}))
    assert (found[0].low, found[0].here, found[0].high) == (-0.5, 0.5, 1.5)


def test_a_share_of_a_range() -> None:
    each: Ranged = ranged_figures(CASE)[1]
    assert [each.at(share) for share in (0.0, 0.5, 1.0)] == pytest.approx([0.2, 0.3, 0.4])
    assert (each.low, each.high) == (0.2, 0.4), "to the last digit that is shown"


@pytest.mark.parametrize(
    ("shares", "counts"), [((0.1, 0.9), False), ((0.9, 0.1), False), ((0.1,), True)]
)
def test_a_fallback_that_the_bare_machine_always_betters_is_not_varied(
    shares: tuple[float, ...],
    counts: bool,  # noqa: FBT001 - a case of the table
) -> None:
    """Varied up to 0.2, it counts beside a bare way of 0.1 and never beside one of 0.9."""
    bare = tuple(Way(options=(), share=share) for share in shares)
    work = cases.stream("work", cases.between(0.0, 1.0, 3.0), 9e3, ["probe"], fallback=0.0)
    case = cases.case_of(
        [cases.option("probe", 5e3, 1.2)], [work.model_copy(update={"way": (*work.way, *bare)})]
    )
    varied = {each.figure.what for each in ranged_figures(case)}
    assert ("fallback" in varied) == counts
