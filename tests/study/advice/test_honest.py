"""What the advice says of its own errors: honest where packages are tied or work is seldom seen."""

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.checks.consistency import notes
from optioneer.reports.advice.summary import close_calls, how_sure
from optioneer.reports.advice.words import Telling, why
from optioneer.reports.page.money import Figures
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.advice.proof import unproven
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.figures.summary import interval_errors
from tests.oracle.cases import between, case_of, certain, option, stream
from tests.study.advice.coverage import CASES, coverage, tied, trials

FIGURES = Figures("USD", "en_US")

SEEDS = range(60)


def the_option(answer: Advice, name: str) -> OptionAnswer:
    return next(one for one in answer.options if one.option == name)


@pytest.mark.parametrize("name", CASES)
def test_intervals_hold_the_true_cost_of_the_advised_package(name: str) -> None:
    """Of 60 with a chance of 0.95 each fewer than 51 hold once in 5,000 times."""
    assert coverage(trials(name, SEEDS)) >= 0.85


def test_the_best_of_many_tied_packages_looks_better_than_it_is_where_it_was_chosen() -> None:
    """On the futures that chose it its interval held the true cost two times in three."""
    case, low = tied(), []
    for seed in range(12):
        found = valued_case(with_draws(case, 128, seed))
        chosen = best_package(found)
        there, here = (
            package_answer(found, "", chosen, t) for t in (None, fresh_look(found, chosen))
        )
        low.append(here.npc - there.npc)
        assert here.npc_se > 0
    assert np.mean(low) > 0.5 * there.npc_se


def test_a_package_that_is_asked_for_costs_what_it_does_as_the_advised_one() -> None:
    case = with_draws(tied(), 64, 3)
    best = advice(AdviceRequest(case)).advised
    asked = package_value(PackageRequest(case, package=",".join(best.options)))
    assert asked.npc == best.npc
    assert asked.npc_se == best.npc_se


def test_packages_of_the_advice_differ_by_what_they_do_on_the_same_futures() -> None:
    case = with_draws(tied(), 64, 3)
    found, answer = valued_case(case), advice(AdviceRequest(case))
    base = next(one for one in answer.packages if one.id == "base")
    chosen = best_package(found)
    bare = tuple(int(np.flatnonzero(cost.lattice.price == 0)[0]) for cost in found.costs)
    extra = found.cost(bare).mean() - found.cost(chosen).mean()
    assert base.npc - answer.advised.npc == pytest.approx(extra)
    assert min(point.npc for point in answer.frontier) == pytest.approx(answer.advised.npc)


def nearly_even(chance: float = 0.5) -> Case:
    """One option that about pays, and its work."""
    work = stream("work", between(0.0, 1.0, 3.0), 9e3, ["probe"], chance=chance)
    return case_of([option("probe", 12e3, 1.4)], [work])


def test_a_call_below_the_gap_is_close() -> None:
    (one,) = advice(AdviceRequest(with_draws(nearly_even(), 4096))).options
    assert one.otherwise is not None
    assert not one.close_call
    size = abs(one.otherwise)
    assert [o.close_call for o in unproven((one,), lambda _: 1.01 * size)] == [True]
    assert [o.close_call for o in unproven((one,), lambda _: 0.99 * size)] == [False]


def tied_streams() -> Case:
    """Two kinds of work that come together, of which the first to come tells of the other."""
    grows = {"driver": ({"id": "automation"},), "periods_per_year": 4}
    streams = [
        stream(name, between(0.0, 2.0, 5.0), margin, ["probe"], chance=0.4, drivers=both)
        for name, margin in (("first", 5e3), ("second", 9e3))
        for both in ({"automation": 0.995},)
    ]
    return case_of([option("probe", 14e3, 1.5)], streams, growth=grows)


def test_every_call_of_a_proven_advice_is_beyond_its_gap_and_its_interval_or_close() -> None:
    answer = advice(AdviceRequest(with_draws(tied_streams(), 512), prove=True))
    assert answer.proof is not None
    for one in answer.options:
        assert one.otherwise is not None
        assert one.otherwise_se is not None
        least = max(answer.proof.gap, interval_errors(512) * one.otherwise_se, 0.01)
        assert one.close_call == (abs(one.otherwise) < least)


def test_what_is_not_proven_is_said_to_be_so() -> None:
    case = with_draws(nearly_even(), 64)
    assert "is not proven, and no call allows for it" in how_sure(
        advice(AdviceRequest(case)), FIGURES
    )
    shown = advice(AdviceRequest(case, prove=True))
    assert shown.proof is not None
    assert "not proven" not in how_sure(shown, FIGURES)
    bound = FIGURES.spread(shown.proof.bound, shown.proof.bound_se)
    assert f"could average below {bound}" in how_sure(shown, FIGURES)
    assert close_calls(case, shown).count("gap that is left") == shown.options[0].close_call


@pytest.mark.parametrize("chance", [0.01, 0.99])
def test_work_that_too_few_futures_show_both_ways_is_named(chance: float) -> None:
    """With 16 futures: "ordering costs 30,000 +- 0"."""
    answer = advice(AdviceRequest(with_draws(nearly_even(chance), 16)))
    (rare,) = answer.rare
    assert (rare.stream, rare.futures) == ("work", 2000)
    assert rare.times == pytest.approx(0.16)
    assert "16 futures are too few to show work" in how_sure(answer, FIGURES)
    assert "Draw at least 2,000." in how_sure(answer, FIGURES)


@pytest.mark.parametrize(("chance", "futures"), [(0.01, 2000), (0.5, 40), (0.0, 16), (1.0, 16)])
def test_what_is_seen_often_enough_or_certain_is_not(chance: float, futures: int) -> None:
    answer = advice(AdviceRequest(with_draws(nearly_even(chance), futures)))
    assert answer.rare == ()
    assert "too few" not in how_sure(answer, FIGURES)


def test_an_option_that_a_wanted_one_requires_is_not_said_to_be_needed_by_nothing() -> None:
    probe = option("probe", 90e3, requires=("control",))
    case = case_of(
        [probe, option("control", 5e3), option("lamp", 500.0)],
        [stream("work", certain(1.0), 1e3, ["probe"])],
    )
    answer = advice(AdviceRequest(with_draws(case, 16)))
    telling = Telling(case, answer.advised.options, FIGURES)
    said = why(telling, the_option(answer, "control"))
    assert "No work" not in said
    assert "Required by probe" in said
    assert "No work on your list needs it" in why(telling, the_option(answer, "lamp"))


@pytest.mark.parametrize(
    ("years", "said"),
    [
        ((6.0, 7.0, 8.0), "comes 6 years after first chips at the earliest"),
        ((1.0, 5.0, 8.0), "comes most likely 5 years after first chips"),
    ],
)
def test_work_beyond_the_horizon_is_named(years: tuple[float, float, float], said: str) -> None:
    work = stream("work", between(*years), 9e3, ["probe"])
    (note,) = notes(case_of([option("probe", 5e3)], [work]))
    assert (note.where, note.what) == ("growth.toml, stream 'work', years", said)
    assert "ends after 5" in note.allowed
    early = stream("work", between(1.0, 4.0, 8.0), 9e3, ["probe"])
    assert notes(case_of([option("probe", 5e3)], [early])) == ()


@pytest.mark.parametrize(("low", "said"), [(3.0, "it never counts"), (1.0, "it does not count")])
def test_work_that_comes_once_the_machine_has_gone_is_named(low: float, said: str) -> None:
    work = stream("work", between(low, 4.0, 4.0), 9e3, ["probe"])
    case = case_of([option("probe", 5e3)], [work])
    machine = case.machine.model_copy(update={"kept_years": between(1.0, 2.0, 3.0)})
    (note,) = notes(case.model_copy(update={"machine": machine}))
    assert "The machine is kept 3 years at most: " in note.allowed
    assert said in note.allowed
