from dataclasses import replace

import pytest

from optioneer.errors import RequestError
from optioneer.model.growth import Driver
from optioneer.study.whatif.ranges import Ranged, Spreads, ranged_figures
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
        "chance second": (0.2, 0.4),
        "margin second": (pytest.approx(20800.0), pytest.approx(31200.0)),
        "multiplier sensor": (pytest.approx(1.04), pytest.approx(1.56)),
        "later-price sensor": (pytest.approx(12000.0), pytest.approx(18000.0)),
        "discount-rate": (0.03, 0.07),
        "horizon": (3.0, 7.0),
    }


def test_ranges_end_where_the_model_does() -> None:
    wide = Spreads(nudge=20.0, chance=0.5, rate=0.5, years=9.0)
    found = ends(spreads=wide)
    assert found["nudge automation"] == (-10.0, 10.0)
    assert found["chance first"] == (0.0, 0.8)
    assert found["discount-rate"] == (0.0, 0.55)
    assert found["horizon"] == (1.0, 14.0)


def test_a_spread_of_nothing_leaves_a_figure_as_it_is() -> None:
    found = ends(spreads=Spreads(nudge=0.0, part=0.0, rate=0.0, years=0.0))
    assert set(found) == {"chance first", "chance second"}
    with pytest.raises(RequestError, match="Nothing is varied"):
        ends(spreads=Spreads(0.0, 0.0, 0.0, 0.0, 0.0))


def test_it_can_be_kept_to_a_name_or_a_kind() -> None:
    assert set(ends("second")) == {"chance second", "margin second"}
    assert set(ends("chance", "automation")) == {
        "nudge automation",
        "chance first",
        "chance second",
    }
    with pytest.raises(RequestError, match=r"'secnod' is no figure that is varied\. .*second"):
        ends("secnod")


@pytest.mark.parametrize("wrong", [{"chance": -0.1}, {"part": 1.0}, {"rate": float("nan")}])
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
