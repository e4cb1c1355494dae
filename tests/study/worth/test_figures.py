"""A figure that is set is read again, moves what belongs to it and nothing else."""

import pytest

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.growth import Driver, Way
from optioneer.model.machine import Hours
from optioneer.study.worth.figures import FIGURES, KINDS, Figure, What, figure_of, with_figure
from optioneer.study.worth.revaluation import pieces_of
from optioneer.study.worth.valued_case import valued_case
from tests.oracle.cases import between, case_of, option, stream

FULL: dict[str, object] = {
    "chance": between(0.3, 0.5, 0.6),
    "growth": 0.02,
    "swing": 0.2,
    "lasts_years": between(1.0, 2.0, 4.0),
    "fallback": 0.1,
    "hours": 400.0,
    "drivers": {"boom": 0.5},
}


def full() -> Case:
    """A case in which every figure is told, most of them as a range."""
    probe = option("probe", 10e3, 1.5, later_price=12e3, downtime_days=2.0)
    probe = probe.model_copy(update={"multiplier": between(1.2, 1.5, 2.0)})
    work = stream("work", between(0.5, 1.0, 3.0), 20e3, ["probe"], **FULL)
    work = work.model_copy(update={"margin": between(10e3, 20e3, 35e3)})
    ways = (Way(options=("probe",), hours=200.0), Way(options=(), share=0.3))
    clock = {"driver": (Driver(id="boom", nudge=0.2),), "futures": 64}
    case = case_of(
        [probe, option("plain", 5e3)],
        [work.model_copy(update={"way": ways})],
        growth=clock,
        kept_years=between(2.0, 3.0, 5.0),
    )
    return case.model_copy(update={"hours": Hours(attended=1500.0, beyond=40.0)})


def owner(what: What) -> str:
    return {"driver": "boom", "stream": "work", "option": "probe"}.get(KINDS.get(what, ""), "")


OTHER: dict[What, float] = {"nudge": -0.4, "horizon": 4.0, "fallback": 0.25, "growth": -0.01}


@pytest.mark.parametrize("what", FIGURES)
def test_what_is_set_is_read_again_and_set_back_it_is_the_same_case(what: What) -> None:
    case, figure = full(), Figure(what, owner(what))
    here = figure_of(case, figure)
    assert with_figure(case, figure, here) == case
    value = OTHER.get(what, 1.1 * here)
    moved = with_figure(case, figure, value)
    assert figure_of(moved, figure) == pytest.approx(value)
    others = [each for each in FIGURES if each != what and (what, each) != ("price", "later-price")]
    for each in others:
        beside = Figure(each, owner(each))
        assert figure_of(moved, beside) == figure_of(case, beside)
    back = with_figure(moved, figure, here)
    assert figure_of(back, figure) == pytest.approx(here)


def test_a_range_moves_as_a_whole_or_in_proportion_and_keeps_to_what_is_possible() -> None:
    case = full()

    def of(what: What, value: float, *, known: bool = False) -> Case:
        return with_figure(case, Figure(what, owner(what), known=known), value)

    (later,) = of("years", 2.0).growth.stream
    assert later.years == between(1.5, 2.0, 4.0)
    (sooner,) = of("years", 0.2).growth.stream
    assert sooner.years.low == 0.0  # nothing comes before first chips
    assert (sooner.years.likely, sooner.years.high) == pytest.approx((0.2, 2.2))
    (dearer,) = of("margin", 40e3).growth.stream
    assert dearer.margin == between(20e3, 40e3, 70e3)
    (likelier,) = of("chance", 0.95).growth.stream
    assert likelier.chance.low == pytest.approx(0.75)  # type: ignore[union-attr]  # a range
    assert likelier.chance.high == 1.0  # type: ignore[union-attr]  # likewise
    (known,) = of("chance", 0.95, known=True).growth.stream
    assert known.chance == 0.95
    (longer,) = of("lasts-years", 3.0).growth.stream
    assert longer.lasts_years == between(1.5, 3.0, 6.0)
    assert of("kept-years", 6.0).machine.kept_years == between(4.0, 6.0, 10.0)
    (busier,) = of("hours", 800.0).growth.stream
    assert (busier.hours, busier.way[0].hours, busier.way[1].hours) == (800.0, 400.0, None)


@pytest.mark.parametrize("what", ["multiplier", "later-price", "downtime-days"])
@pytest.mark.parametrize(
    "facts",
    [{"fitting": "factory-only"}, {"multiplier": None}],
    ids=["factory-only", "no multiple"],
)
def test_what_cannot_be_fitted_later_has_no_figures_of_a_retrofit(
    what: What, facts: dict[str, object]
) -> None:
    """Factory-only it is although somebody has written a multiplier."""
    case = case_of([option("built-in", 5e3, 1.5).model_copy(update=facts)], [])
    with pytest.raises(RequestError, match="the option is factory-only and has no"):
        figure_of(case, Figure(what, "built-in"))


def two() -> Case:
    """Two kinds of work that one driver brings, each for an option of its own."""
    streams = [
        stream(n, between(0.0, 1.0, 3.0), 9e3, [n], chance=0.6, drivers={"boom": 0.6}) for n in "ab"
    ]
    streams[0] = streams[0].model_copy(update={"margin": between(4e3, 9e3, 20e3)})
    options = [option(n, 12e3, 1.4) for n in "ab"]
    clock = {"driver": (Driver(id="boom"),), "futures": 128}
    return case_of(options, streams, growth=clock)


def test_a_margin_told_as_a_range_is_scaled_whole_where_it_counts() -> None:
    """Against the whole case valued anew: the draws are the same, the margins another."""
    case, figure = two(), Figure("margin", "a")
    pieces, changed = pieces_of(case), with_figure(two(), figure, 13e3)
    found = valued_case(changed)
    (piece,) = pieces.changed_pieces(figure)
    assert pieces.means(piece, {figure: 13e3}) == pytest.approx(found.means[piece], rel=1e-6)


def test_a_change_leaves_the_pieces_that_it_does_not_touch_to_the_last_bit() -> None:
    pieces = pieces_of(two())
    for what, value in (("margin", 13e3), ("chance", 0.9), ("years", 2.0), ("fallback", 0.3)):
        figure = Figure(what, "a")  # type: ignore[arg-type]  # names of figures
        touched = pieces.changed_pieces(figure)
        for piece in set(range(pieces.count)) - touched:
            before, after = pieces.means(piece, {}), pieces.means(piece, {figure: value})
            assert before.tolist() == after.tolist()
        assert touched
