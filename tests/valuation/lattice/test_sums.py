"""Identities of the sums that a lattice is built from."""

from dataclasses import replace

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.machine import Hours
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.clusters import cluster_lattice, cluster_terms
from optioneer.study.problem.futures import world_of
from optioneer.valuation.lattice.charges import Charges
from optioneer.valuation.lattice.mix import lost_during, lost_from
from optioneer.valuation.lattice.view import View
from optioneer.valuation.shared_hours.hour_prices import members_of
from optioneer.valuation.worlds.scores import scores
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.valuation.engine import engine, every_future


def busy(*, lasts: bool = False, attended: float = 8_000.0, years: float = 4.0) -> Case:
    """Two kinds of work, the first of which may end, with more hours than anybody needs."""
    life = {"lasts_years": between(0.5, 1.0, 2.0)} if lasts else {}
    streams = [
        stream("a", between(0.0, 1.0, 3.0), 30e3, ["probe"], chance=0.6, hours=500.0, **life),
        stream("b", certain(1.0), 20e3, ["loader"], chance=0.8, hours=300.0),
    ]
    options = [option("probe", 10e3, 1.3), option("loader", 20e3, 1.5)]
    case = case_of(options, streams, growth={"horizon_years": years, "periods_per_year": 2})
    return case.model_copy(update={"hours": Hours(attended=attended)})


def view_of(case: Case) -> View:
    problem = problem_of(case)
    made = engine(case, every_future(case, problem))
    (lattice,) = problem.lattices
    return made.view(lattice)


def summed(view: View, periods: range, known: Floats) -> Floats:
    """What is lost period by period until the horizon."""
    length = view.timeline.periods - periods.start
    total = lost_during(view, periods, known, 0)
    for ahead in range(1, length):
        total = total + lost_during(view, periods, known, ahead)
    return total


@pytest.mark.parametrize("start", [0, 3])
def test_with_hours_to_spare_a_stretch_loses_what_its_periods_lose(start: int) -> None:
    view, periods = view_of(busy()), range(start, start + 1)
    known = view.known_level(periods)
    whole = lost_from(view, periods, known, 0)
    assert whole == pytest.approx(summed(view, periods, known), rel=1e-9, abs=1e-6)
    assert float(whole.max()) > 10e3


@pytest.mark.parametrize("ahead", [1, 2, 3])
def test_what_will_be_lost_is_the_same_seen_now_or_then_where_nothing_comes_between(
    ahead: int,
) -> None:
    """Although hours are short, and count as if they could be put off within a stretch of time."""
    view, now, then = view_of(busy(attended=450.0)), range(2, 3), range(2 + ahead, 3 + ahead)
    same = ((view.arrival <= 2) | (view.arrival > 2 + ahead)).all(axis=0)
    today = lost_from(view, now, view.known_level(now), ahead)
    later = lost_from(view, then, view.known_level(then), 0)
    assert today[:, same] == pytest.approx(later[:, same])
    alone = view.lattice.lost @ view.remaining(view.known_level(now), now, ahead)
    assert (today - alone)[:, same].max() > 1e3, "hours are short"


@pytest.mark.parametrize("lasts", [False, True])
def test_periods_looked_at_together_lose_what_they_lose_alone(lasts: bool) -> None:  # noqa: FBT001 - a case of the table
    view = view_of(busy(attended=450.0, lasts=lasts, years=8.0))
    together = range(1, view.timeline.periods - 1)
    spans = [together, *(range(t, t + 1) for t in together)]
    lost, *alone = (lost_from(view, span, view.known_level(span), 2) for span in spans)
    assert lost == pytest.approx(np.concatenate(alone, axis=1), rel=1e-12, abs=1e-9)


@pytest.mark.parametrize("lasts", [False, True])
def test_two_stretches_make_one(lasts: bool) -> None:  # noqa: FBT001 - a case of the table
    view, periods = view_of(busy(lasts=lasts)), range(2, 3)
    known = view.known_level(periods)
    from_now, halfway, end = (np.array([ahead]) for ahead in (0, 3, 7))
    parts = [
        view.stretch(known, periods, (from_now, halfway)),
        view.stretch(known, periods, (halfway, end)),
    ]
    whole = view.stretch(known, periods, (from_now, end))
    assert parts[0].margin + parts[1].margin == pytest.approx(whole.margin, abs=1e-6)
    assert parts[0].years + parts[1].years == pytest.approx(whole.years, abs=1e-9)
    assert float(np.max(whole.margin)) > 0


def test_every_charge_grows_by_the_factor() -> None:
    one, two = np.array([10.0, 20.0]), np.array([3.0, 4.0])
    grown = Charges.of_parts((one, two), (None, two), (one,)).times(np.array([2.0, 0.5]))
    assert [list(each) for each in grown.plain] == [[20.0, 10.0], [6.0, 2.0]]
    assert grown.eased[0] is None
    assert list(np.asarray(grown.eased[1])) == [6.0, 2.0]
    assert list(np.asarray(grown.visits[0])) == [20.0, 10.0]


def test_one_signal_is_weighed_by_the_share_of_its_variance_that_drivers_cause() -> None:
    """Regression of the common part on z: b^2 / (b^2 + own^2), and own^2 is 1 - b^2."""
    growth = problem_of(_driven(0.6)).growth
    found = scores(growth, problem_of(_driven(0.6)).timeline).gain
    assert found == pytest.approx(np.array([[0.36]]), abs=1e-8)


def test_what_is_expected_of_drivers_counts_who_came_when_and_who_has_not_come_yet() -> None:
    case = _driven(0.6)
    more = stream("b", between(0.5, 2.0, 4.0), 9e3, ["probe"], chance=0.5, drivers={"boom": 0.5})
    streams = (*case.growth.stream, more)
    case = case.model_copy(update={"growth": case.growth.model_copy(update={"stream": streams})})
    problem = problem_of(case)
    world, (lattice,) = world_of(case, problem), problem.lattices
    assert world.scores is not None
    view, told = world.views(lattice)[0], world.scores
    for t in (0, 3, problem.timeline.periods - 1):
        outlook = view.outlook(range(t, t + 1))
        assert outlook is not None
        for future in range(0, view.futures.count, 97):
            came = view.futures.arrival[:, future]
            says = [told.absent[k, t] if came[k] > t else told.seen[k, came[k]] for k in range(2)]
            assert outlook[:, future] == pytest.approx(told.gain[lattice.streams] @ says)


def _driven(loading: float) -> Case:
    work = stream("a", certain(1.0), 30e3, ["probe"], chance=0.6, drivers={"boom": loading})
    return case_of([option("probe", 10e3, 1.3)], [work], growth={"driver": ({"id": "boom"},)})


def test_a_package_is_kept_by_every_rule_at_once() -> None:
    """The second option needs the first, and the first bars the third."""
    options = [
        option("first", 1e3, 1.0, excludes=("third",)),
        option("second", 1e3, 1.0, requires=("first",)),
        option("third", 1e3, 1.0),
    ]
    streams = [
        stream("a", certain(1.0), 9e3, ["first", "second"]),
        stream("b", certain(1.0), 9e3, ["third"]),
    ]
    case = case_of(options, streams)
    terms, lattice = cluster_terms(case, 0), cluster_lattice(case, 0)
    packages = [tuple(int(n) for n in column) for column in np.ndindex(2, 2, 2)]
    kept = {package for package in packages if terms.keeps(package)}
    orderable = {
        tuple(int(n) for n in lattice.levels[:, state])
        for state in np.flatnonzero(lattice.orderable)
    }
    assert kept == orderable
    assert kept == {(0, 0, 0), (1, 0, 0), (1, 1, 0), (0, 0, 1)}


def test_whoever_takes_hours_shares_them_wherever_it_stands() -> None:
    lattice = view_of(busy()).lattice
    idle = replace(lattice, way_sets=None)
    members = members_of((idle, lattice, idle, lattice))
    assert list(members.each) == [1, 3]
    assert members_of((idle, idle)).each == {}
