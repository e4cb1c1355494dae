"""Supply limits: what is kept free for retrofits, whatever the order of the rows."""

from itertools import permutations
from typing import Any

import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.model.site import Site
from optioneer.study.needs.limits import (
    bought_supplies,
    needs_transformer,
    pressure_drop,
    supply_limits,
)
from tests.study.ready.sites import POWER, case

LOADS = {"small": 4.0, "large": 18.0, "middle": 7.0}


def with_rows(names: tuple[str, ...], **plan: Any) -> Case:
    """One slot that can be retrofitted with one of three loads."""
    bare = case({**POWER, "plan": {"runs": 100, **plan}})
    options = [
        Option(
            option=name,
            name=name,
            slot="spindle",
            price=1000,
            fitting="retrofittable",
            multiplier=Triangular(low=1, likely=1, high=1),
            kva=LOADS[name],
        )
        for name in names
    ]
    return bare.model_copy(update={"catalogue": Catalogue(options=tuple(options))})


@pytest.mark.parametrize("names", list(permutations(LOADS)))
def test_a_slot_is_reserved_for_the_largest_of_what_may_come(names: tuple[str, ...]) -> None:
    given = with_rows(names, reserve_for=names)
    (limit,) = supply_limits(given)
    assert limit.floors == {"spindle": 18.0}
    assert limit.total([]) == 50 + 18
    # 75 kVA carry 60 at the usual spare of a quarter, 112.5 carry 90.
    assert [supply.id for supply in bought_supplies(given, [])] == ["transformer-112-5"]


@pytest.mark.parametrize("names", list(permutations(LOADS)))
def test_only_what_is_named_is_reserved(names: tuple[str, ...]) -> None:
    given = with_rows(names, reserve_for=("small", "middle"))
    (limit,) = supply_limits(given)
    assert limit.floors == {"spindle": 7.0}
    assert limit.total(given.catalogue.options[:1]) == 50 + max(LOADS[names[0]], 7.0)


def test_nothing_is_reserved_that_is_not_named() -> None:
    given = with_rows(("small", "large"))
    (limit,) = supply_limits(given)
    assert limit.floors == {}
    assert limit.total([]) == 50
    assert [supply.id for supply in bought_supplies(given, [])] == ["transformer-75"]


@pytest.mark.parametrize(
    ("supply", "wanted"), [(400, False), (440, False), (360, False), (441, True), (359, True)]
)
def test_a_supply_within_the_tolerance_of_the_machine_needs_no_transformer(
    supply: float, *, wanted: bool
) -> None:
    """10 % of 400 V either way, the bounds included."""
    needs = {"voltage_v": 400.0, "voltage_tolerance": 0.1}
    site = Site.model_validate({"shop": {"supply_v": supply}, "needs": needs})
    assert needs_transformer(site) is wanted


@pytest.mark.parametrize(("needed", "drop"), [(6.5, 0.5), (7.0, None), (7.5, None)])
def test_no_pressure_is_left_where_the_machine_needs_what_the_compressor_loads_at(
    needed: float, drop: float | None
) -> None:
    compressor = {"id": "screw", "delivery_l_min": 480.0, "load_bar": 7.0, "unload_bar": 9.0}
    site = Site.model_validate({"needs": {"air_bar": needed}, "air": {"compressor": [compressor]}})
    assert pressure_drop(site) == (None if drop is None else pytest.approx(drop))
