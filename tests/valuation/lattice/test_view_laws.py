"""What a lattice sees of its futures: whole is the sum of its parts, and many periods are each."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
import pytest

from optioneer.arrays import Floats
from optioneer.model.case import Case
from optioneer.model.growth import Stream
from optioneer.model.machine import Hours
from optioneer.study.problem.arrays import problem_of
from optioneer.valuation.hours import Attendance, HoursSeen
from optioneer.valuation.lattice.kept_view import KeptView
from optioneer.valuation.lattice.outlays import flow_cost, held_cost, rule_estimate
from optioneer.valuation.lattice.view import View
from optioneer.valuation.timing.cluster import journey_under
from optioneer.valuation.timing.sweep import policy_costs
from optioneer.valuation.worlds.lives import Lives
from optioneer.valuation.worlds.turns import Turns
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.valuation.engine import engine, futures


def known_ends() -> Case:
    """Work that ends before the horizon at a time that is known."""
    streams = [
        stream("a", between(0.0, 0.5, 1.5), 30e3, ["probe"], chance=0.7, lasts_years=1.0),
        stream("b", certain(0.5), 20e3, ["loader"], chance=0.8, growth=0.05),
    ]
    return shop(streams)


def hidden_ends() -> Case:
    """Work of which nobody knows how long it lasts."""
    streams = [
        stream(
            "a", between(0.0, 0.5, 1.5), 30e3, ["probe"], chance=0.7, lasts_years=between(0.3, 1, 2)
        ),
        stream("b", certain(0.5), 20e3, ["loader"], chance=0.8, growth=0.05),
    ]
    return shop(streams)


def hidden_sale() -> Case:
    """And a machine of which nobody knows how long it stays."""
    case = hidden_ends()
    kept = case.machine.model_copy(update={"kept_years": between(1.0, 2.0, 3.0)})
    return case.model_copy(update={"machine": kept})


def shop(streams: Sequence[Stream]) -> Case:
    options = [
        option("probe", 10e3, 1.3, upkeep_per_year=400.0, resale_share=0.3),
        option("loader", 20e3, 1.5, resale_share=0.1),
    ]
    clock = {"horizon_years": 3.0, "periods_per_year": 2}
    return case_of(options, streams, growth=clock, lead=0.4)


MADE: dict[str, Callable[[], Case]] = {
    "known": known_ends,
    "hidden": hidden_ends,
    "sold": hidden_sale,
}


def views(name: str) -> list[View]:
    case = MADE[name]()
    made = engine(case, futures(problem_of(case), 32))
    return [made.view(lattice) for lattice in made.problem.lattices]


@pytest.mark.parametrize("name", MADE)
def test_what_remains_is_the_sum_of_what_the_periods_ahead_bring(name: str) -> None:
    for view in views(name):
        last = view.timeline.periods
        for t in range(last):
            now = range(t, t + 1)
            known = view.known_level(now)
            for ahead in (one for one in (1, 2, 3) if t + one <= last):
                parts = [view.expected_margin(known, now, each) for each in range(ahead, last - t)]
                whole = view.remaining(known, now, ahead)
                assert whole == pytest.approx(sum(parts, np.zeros_like(whole)), abs=1e-6)
                assert (whole >= 0.0).all()


@pytest.mark.parametrize("name", MADE)
@pytest.mark.parametrize("ahead", [0, 1, 2])
def test_several_periods_at_once_are_each_of_them(name: str, ahead: int) -> None:
    def seen(view: View, periods: range) -> list[Floats]:
        known = view.known_level(periods)
        own = view.charges(periods, ahead)
        return [
            known,
            view.absent(periods),
            view.expected_margin(known, periods, ahead),
            view.remaining(known, periods, ahead),
            flow_cost(view, periods, known, ahead),
            held_cost(view, periods, known, ahead),
            *own.plain,
            rule_estimate(view, periods, known),
        ]

    for view in views(name):
        for together in (range(4), range(1, 3), range(2, 6 - max(ahead, 1))):
            alone = [seen(view, range(t, t + 1)) for t in together]
            for many, *single in zip(seen(view, together), *alone, strict=True):
                assert many == pytest.approx(np.concatenate(single, axis=-1), abs=1e-9)


def test_what_is_expected_of_work_that_may_end_is_what_comes_on_average() -> None:
    """Of work that is here today, over very many lives: it is there later as often as told."""
    case = hidden_sale()
    problem = problem_of(case)
    made = engine(case, futures(problem, 8192))
    for view in map(made.view, problem.lattices):
        for row, k in enumerate(view.lattice.streams):
            now = range(2, 3)
            known = view.known_level(now)[row]
            here = (known > 0.0) & (view.stay > 2)
            for ahead in (1, 2):
                later = range(2 + ahead, 3 + ahead)
                true = view.expected_margin(view.known_level(later), later)[row]
                told = view.expected_margin(view.known_level(now), now, ahead)[row]
                error = true[here].std() / np.sqrt(here.sum())
                assert told[here].mean() == pytest.approx(
                    true[here].mean(), abs=5 * error + 1e-6
                ), k


@pytest.mark.parametrize("name", MADE)
def test_what_is_lived_through_costs_what_the_sweep_says_sale_included(name: str) -> None:
    case = MADE[name]()
    made = engine(case, futures(problem_of(case), 32))
    for lattice, policy in zip(made.problem.lattices, made.policies, strict=True):
        (swept,) = policy_costs(made.view(lattice), [policy])
        for state in np.flatnonzero(lattice.valid):
            lived = journey_under(made.world, (lattice, policy), int(state), map)
            assert lived.cost == pytest.approx(swept[state], rel=1e-9, abs=1e-6)


@pytest.mark.parametrize("heard", [0, 1])
@pytest.mark.parametrize("ahead", [0, 1])
def test_a_visit_that_is_shared_is_paid_by_whose_turn_it_was_when_it_was_heard(
    heard: int, ahead: int
) -> None:
    streams = [stream("a", between(0.0, 1.0, 3.0), 30e3, ["probe"], chance=0.7)]
    streams.append(stream("b", between(0.0, 1.0, 3.0), 20e3, [], chance=0.7))
    probe = option("probe", 10e3, 1.3, call_out="team", downtime_days=2.0)
    case = case_of([probe], streams, call_outs={"team": 4e3}, lead=0.4)
    problem = problem_of(case)
    made = engine(case, futures(problem, 32))
    turns = Turns("team", ((0,), (1,)), 0)
    lattice = replace(problem.lattices[0], turns=tuple(turns for _ in problem.lattices[0].visits))
    view = replace(made.view(lattice), heard=heard)
    share, clock = turns.share(view.futures.arrival, 5), view.timeline
    (target,), charges = lattice.targets, view.charges(range(1, 4), ahead)
    for place, t in enumerate(range(1, 4)):
        now, then = view.moments(place), t + ahead
        price = clock.at_start[then] * clock.retrofit_level[then]
        paid = price * 4e3 * share[max(t - heard, 0)]
        assert np.asarray(charges.visits[target.visit])[now] == pytest.approx(paid)
        plain = price * 10e3 * 1.3 + clock.at_start[then] * 2.0 * 1000.0
        assert charges.plain[0][now] == pytest.approx(np.full(32, plain))


def slow_chances(lives: Lives, row: int) -> Floats:
    """Chance that a stream and the machine are there, by period it came in and period, (T, T)."""
    periods = lives.timeline.periods
    found = np.zeros((periods, periods))
    for came in range(periods):
        for then in range(came, periods):
            found[came, then] = lives.chance_lasting[row, then - came] * lives.chance_kept[then]
    return found


@pytest.mark.parametrize("name", ["hidden", "sold"])
def test_what_work_is_worth_later_is_its_flow_times_the_chance_that_it_is_there(name: str) -> None:
    for lives in (view.lives for view in views(name)):
        if lives is None:
            continue
        for row in range(len(lives.streams)):
            expected = slow_chances(lives, row) * lives.flows[row]
            assert lives.during[row] == pytest.approx(expected)
            later = [expected[:, t:].sum(axis=1) for t in range(lives.timeline.periods + 1)]
            assert lives.onward[row] == pytest.approx(np.stack(later, axis=1))
        flows = lives.timeline.during * lives.timeline.dt * lives.chance_kept[:-1]
        assert lives.annuity[0] == pytest.approx(flows.sum())
        assert lives.chance_sold.sum() == pytest.approx(1.0)
        assert lives.chance_kept == pytest.approx(1.0 - np.cumsum(lives.chance_sold))


@pytest.mark.parametrize("name", MADE)
def test_where_nothing_can_be_fitted_any_more_it_costs_what_is_held(name: str) -> None:
    """From the next period on, whichever way to go on is weighed."""
    case = MADE[name]()
    made = engine(case, futures(problem_of(case), 32))
    for lattice in made.problem.lattices:
        view = made.view(replace(lattice, targets=()))
        for t in range(view.timeline.periods - 1):
            now = range(t, t + 1)
            known = view.known_level(now)
            held = held_cost(view, now, known, ahead=1)
            assert rule_estimate(view, now, known)[lattice.valid] == pytest.approx(
                held[lattice.valid], rel=1e-9
            )


@pytest.mark.parametrize("name", MADE)
def test_a_view_that_keeps_what_it_shows_shows_the_same_at_every_price_of_an_hour(
    name: str,
) -> None:
    def seen(view: View) -> list[Floats]:
        periods = range(1, 3)
        known = view.known_level(periods)
        return [
            flow_cost(view, periods, known),
            rule_estimate(view, periods, known),
            view.expected_margin(known, periods),
            *view.charges(periods).plain,
            *view.charges(periods, 1).plain,
        ]

    case = MADE[name]()
    case = case.model_copy(update={"hours": Hours(attended=1_000.0)})
    made = engine(case, futures(problem_of(case), 32))
    for lattice in made.problem.lattices:
        free = made.view(lattice)
        kept = KeptView.of(free)
        for worth in (20.0, 35.0, 20.0):
            price = np.full((free.timeline.periods, free.futures.count), worth)
            hours = HoursSeen(Attendance(1_000.0), price)
            plain, again = seen(replace(free, hours=hours)), seen(replace(kept, hours=hours))
            for one, other in zip(plain, again, strict=True):
                assert np.array_equal(one, other)
            at_price = replace(kept, hours=hours).at(price)
            assert np.array_equal(seen(at_price)[0], plain[0])
            assert at_price.shown is kept.shown
