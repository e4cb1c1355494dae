"""Supply limits: what is kept free for retrofits, whatever the order of the rows."""

from itertools import permutations
from typing import Any

import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.fact import Triangular
from optioneer.study.needs.limits import bought_supplies, supply_limits
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
