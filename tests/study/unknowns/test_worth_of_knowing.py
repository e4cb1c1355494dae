"""What figures are worth to know: by hand, and against a nested simulation."""

from collections.abc import Callable

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.growth import Driver, Way
from optioneer.study.unknowns.ranges import Ranged, Spreads, every_ranged
from optioneer.study.unknowns.unknowns import Unknowns, unknowns_of
from optioneer.study.unknowns.worth_of_one import equally_likely_values
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.figures import What, with_figure
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.worlds.scenario import triangular_quantile
from tests.oracle.cases import between, case_of, certain, option, stream

NESTED = 9
"""Values of a figure at which the nested simulation values the case anew."""

FEW = {"horizon_years": 5.0, "discount_rate": 0.1, "futures": 4096}


def known(case: Case, spreads: Spreads | None = None) -> Unknowns:
    found = valued_case(case)
    return unknowns_of(found, best_package(found), spreads=spreads)


def worth(case: Case, what: What, name: str = "", spreads: Spreads | None = None) -> float:
    told = {(one.what, one.name): one.worth for one in known(case, spreads).worths({})}
    return told[what, name]


def nested(case: Case, ranged: Ranged) -> float:
    """The same, every case valued anew with a policy learned for it.

    The least mean over the packages on what is believed, less the mean of the least.
    """
    shares = (np.arange(NESTED) + 0.5) / NESTED
    bounds = np.array([ranged.low, ranged.here, ranged.high])
    costs = []
    for value in triangular_quantile(shares, bounds):
        found = valued_case(with_figure(case, ranged.figure, float(value)))
        costs.append([*found.means, np.array([found.constant.mean()])])
    pieces = [np.stack([cost[i] for cost in costs]) for i in range(len(costs[0]))]
    return sum(float(piece.mean(axis=0).min() - piece.min(axis=1).mean()) for piece in pieces)


def now_or_never(chance: float = 0.35) -> Case:
    """Work of 20,000 in its only year for what can only be built in, for 8,000."""
    work = stream("work", certain(0.0), 20e3, ["built-in"], chance=chance)
    growth = {"horizon_years": 1.0, "discount_rate": 0.0, "futures": 4096}
    return case_of([option("built-in", 8e3)], [work], growth=growth)


def waits(**more: object) -> Case:
    """Work that may come and stays, for a probe that can wait at a price."""
    about = {"chance": 0.55, "fallback": 0.2} | more
    work = stream("work", between(0.0, 1.0, 3.0), 11e3, ["probe"], **about)
    varied = work.model_copy(update={"margin": between(7e3, 11e3, 16e3)})
    return case_of([option("probe", 14e3, 1.5)], [varied], growth=FEW)


def rivals() -> Case:
    """A large and a small magazine, one of which must be chosen at the factory."""
    ways = (Way(options=("large",)), Way(options=("small",), share=0.6))
    work = stream("work", certain(0.0), 9e3, [], way=ways, chance=0.6)
    plants = [option("large", 16.5e3, slot="magazine"), option("small", 8e3, slot="magazine")]
    return case_of(plants, [work], growth=FEW)


def driven() -> Case:
    """Two kinds of work that one driver makes likelier, for one option."""
    shared = {"drivers": {"growth": 0.7}, "chance": 0.4}
    streams = [
        stream(f"work-{n}", between(0.0, 0.5, 2.0), 6e3, ["cell"], **shared).model_copy(
            update={"margin": between(4e3, 6e3, 9e3)}
        )
        for n in "ab"
    ]
    case = case_of([option("cell", 17e3)], streams, growth=FEW)
    growth = case.growth.model_copy(update={"driver": (Driver(id="growth", name="Growth"),)})
    return case.model_copy(update={"growth": growth})


def comes_and_goes() -> Case:
    """Work for what can only be built in, of which nobody knows when it comes and how it ends."""
    about = {"chance": 0.7, "lasts_years": between(1.0, 2.0, 4.0)}
    work = stream("work", between(0.0, 1.0, 3.0), 12e3, ["built-in"], **about)
    growth = {**FEW, "periods_per_year": 4, "futures": 2048}
    return case_of([option("built-in", 12e3)], [work], growth=growth, kept_years=between(2, 3, 5))


CASES: dict[str, tuple[Callable[[], Case], What, str]] = {
    "a chance, now or never": (now_or_never, "chance", "work"),
    "a chance, what can wait": (waits, "chance", "work"),
    "a margin, what can wait": (waits, "margin", "work"),
    "a chance among rivals": (rivals, "chance", "work"),
    "a margin among rivals": (rivals, "margin", "work"),
    "a chance under a driver": (driven, "chance", "work-a"),
    "a margin under a driver": (driven, "margin", "work-b"),
    "the nudge of a driver": (driven, "nudge", "growth"),
    "when it comes": (comes_and_goes, "years", "work"),
    "how long it lasts": (comes_and_goes, "lasts-years", "work"),
    "how long the machine stays": (comes_and_goes, "kept-years", ""),
    "a fallback": (waits, "fallback", "work"),
    "a later price": (waits, "later-price", "probe"),
}


@pytest.mark.parametrize("name", CASES)
def test_it_is_what_a_nested_simulation_says(name: str) -> None:
    made, what, of = CASES[name]
    case = made()
    spreads = Spreads(chance=0.2, part=0.35, fallback=0.2)
    ranged = next(
        each
        for each in every_ranged(case, spreads)
        if (each.figure.what, each.figure.name) == (what, of)
    )
    slow = nested(case, ranged)
    assert worth(case, what, of, spreads) == pytest.approx(slow, rel=0.15, abs=50.0)


def test_what_cannot_turn_anything_is_worth_nothing() -> None:
    certain_of_it = now_or_never(chance=0.9)
    assert all(one.worth == 0.0 for one in known(certain_of_it).worths({}))


def test_a_chance_that_straddles_the_turn_is_worth_what_a_table_says() -> None:
    """A decision table with two rows: order at 8,000, or lose 20,000 with the chance.

    Chance 0.4 breaks even. Believed from 0.2 over 0.4 to 0.6 the mean of max(p - 0.4, 0) over a
    symmetric triangle is a sixth of its half width: 20,000 x 0.2 / 6.
    """
    assert worth(now_or_never(0.4), "chance", "work", Spreads(chance=0.2)) == pytest.approx(
        20e3 * 0.2 / 6, rel=0.02
    )


def test_values_of_a_figure_are_as_likely_as_a_triangle_says() -> None:
    case = now_or_never(0.4)
    ranged = next(each for each in every_ranged(case) if each.figure.what == "chance")
    values = equally_likely_values(ranged)
    assert values.mean() == pytest.approx(0.4)
    assert values.std() == pytest.approx(0.1 / 6**0.5, rel=0.01)
