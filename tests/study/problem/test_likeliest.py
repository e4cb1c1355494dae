"""The case without doubt: what is likeliest happens, within what the clock allows."""

from dataclasses import replace

import numpy as np
import pytest

from optioneer.files.case.demos import demo_folder
from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.machine import Hours
from optioneer.study.problem.arrays import growth_of, problem_of
from optioneer.study.problem.futures import at_list_prices, with_draws, world_of
from optioneer.study.problem.likeliest import likeliest_case
from tests.hours import short_of_hours
from tests.oracle.cases import between, case_of, certain, option, stream


def staying(kept: Triangular | float | None, **more: object) -> Case:
    """A machine of which a share comes back, kept for so long."""
    work = stream("work", between(0.0, 1.0, 3.0), 9e3, ["probe"], chance=0.6, **more)
    return case_of(
        [option("probe", 5e3, 1.2, resale_share=0.16)], [work], kept_years=kept, resale_share=0.25
    )


@pytest.mark.parametrize(
    ("kept", "years"),
    [(None, 5.0), (between(1.0, 3.0, 5.0), 3.0), (2.0, 2.0), (between(6.0, 8.0, 9.0), 5.0)],
)
def test_the_machine_stays_as_long_as_is_likeliest(
    kept: Triangular | float | None, years: float
) -> None:
    """After n of T periods a share of 1/4 at the horizon is 1/4 to the power n / T."""
    sure = likeliest_case(staying(kept))
    assert sure.growth.horizon_years == years
    assert sure.machine.kept_years is None
    assert sure.machine.resale_share == pytest.approx(0.25 ** (years / 5.0))
    (probe,) = sure.catalogue.options
    assert probe.resale_share == pytest.approx(0.16 ** (years / 5.0))


@pytest.mark.parametrize("lasts", [2.0, certain(2.0)])
def test_a_life_that_is_known_is_the_same_told_as_a_figure_or_as_a_range(
    lasts: Triangular | float,
) -> None:
    assert growth_of(staying(None, lasts_years=lasts)).life.tolist() == [2]
    assert growth_of(staying(None, lasts_years=between(1.0, 2.0, 4.0))).life.tolist() == [5]


def test_an_hour_is_priced_on_what_options_list_for_later() -> None:
    """Of the first option, which is asked for less with the order; the rest stays as it is."""
    works = [
        stream(name, between(0.0, 1.0, 3.0), 30e3, [name], hours=900.0, fallback=0.1)
        for name in ("first", "second")
    ]
    options = [option("first", 4e3, 1.3, later_price=9e3), option("second", 6e3, 1.3)]
    case = case_of(options, works).model_copy(update={"hours": Hours(attended=800.0)})
    problem = problem_of(case)
    for lattice, listed in zip(problem.lattices, at_list_prices(case, problem), strict=True):
        held = {problem.options[o] for o in lattice.options(lattice.size - 1)}
        raised = float(listed.price[-1] - lattice.price[-1])
        assert raised == pytest.approx(5e3 if "first" in held else 0.0)


def test_prices_of_an_hour_that_are_held_stay_whatever_else_changes() -> None:
    case = short_of_hours(with_draws(read_case(demo_folder("small-mill")), 64))
    world = world_of(case, problem_of(case))
    assert world.price is not None
    held, growth = world.at_these_prices(), world.growth
    likelier = replace(growth, chance=np.minimum(2.0 * growth.chance, 1.0))
    moved, anew = held.under(likelier), world.under(likelier).price
    np.testing.assert_array_equal(moved.price, world.price)
    np.testing.assert_array_equal(moved.learned_price, world.learned_price)
    assert anew is not None
    assert (anew != world.price).any()
