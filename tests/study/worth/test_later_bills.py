"""Bills for a bigger supply that retrofits make necessary: by what is fitted when, exactly."""

import numpy as np
import pytest

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.model.machine import Package
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.valued import Valued, valued
from tests.study.worth.test_site_in_advice import SITE, earning


def in_slots(chance: float) -> Case:
    """Two slots of two options each; work for the second ones comes with a chance, apart."""
    given = earning(SITE, later=True, loader=60000.0, light=60000.0)
    changes = {
        "pump": {"slot": "feed", "kva": 8.8},
        "loader": {"slot": "feed", "kva": 20.0},
        "chiller": {"slot": "cool", "kva": 1.2},
        "light": {"slot": "cool", "kva": 15.0},
    }
    options = tuple(o.model_copy(update=changes[o.option]) for o in given.catalogue.options)
    seldom = {"chance": chance, "years": Triangular(low=0, likely=1, high=3)}
    streams = tuple(s.model_copy(update=seldom) for s in given.growth.stream)
    growth = given.growth.model_copy(update={"stream": streams})
    return given.model_copy(update={"catalogue": Catalogue(options=options), "growth": growth})


def test_a_sum_that_fills_the_room_exactly_is_no_reason_for_a_bigger_supply() -> None:
    """8.8 and 1.2 kVA fill the 10 that are left; in single precision they would pass them."""
    found = valued(in_slots(0.0))
    full = states_of(found, Package(id="x", options=("pump", "chiller")))
    assert np.array_equal(found.site.cost(full), np.full(64, found.site.now(full)))


def test_what_a_slot_needs_hangs_on_what_is_fitted_not_on_what_never_is() -> None:
    """From the empty slot either option may be fitted; the one that never is blocks no other."""
    given = in_slots(0.5)
    pumping = Stream.model_validate(
        {
            **given.growth.stream[0].model_dump(),
            "id": "pump-work",
            "chance": 0.7,
            "years": {"low": 0.0, "likely": 0.3, "high": 1.0},
            "way": ({"options": ("pump",)},),
        }
    )
    growth = given.growth.model_copy(update={"stream": (*given.growth.stream, pumping)})
    found = valued(given.model_copy(update={"growth": growth}))
    fitted = sum(_agreeing(found, cluster) for cluster in range(len(found.costs)))
    assert fitted > 0


def _agreeing(found: Valued, cluster: int) -> int:
    """In how many futures something is fitted; kept moves and journeys tell of the same uses."""
    site, count = found.site, 0
    for state in np.flatnonzero(found.costs[cluster].lattice.orderable):
        told = site._uses_in_time(0, cluster, int(state))
        assert told == pytest.approx(site._series_lived(0, cluster, int(state)))
        owned = site._lived(cluster, int(state)).owned
        assert np.array_equal(site.uses[0][cluster][owned[1:]], told[:-1])
        count += int((told[-1] != told[0]).sum())
    return count
