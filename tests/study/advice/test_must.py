"""What is wanted whatever it costs is ordered in every package; all else is weighed as ever."""

import numpy as np
import pytest

from optioneer.errors import CaseError, RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue
from optioneer.model.checks.consistency import checked
from optioneer.study.advice.advice import advice, package_value
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.problem.clusters import cluster_terms, clusters
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import asked_package
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.large.programme import cheapest_order, dearest
from tests.oracle.cases import between, case_of, option, stream


def shop(must: str = "", *, futures: int = 512) -> Case:
    """A dear magazine that nothing needs, a rival, a probe that pays and a door that does not."""
    options = [
        option("magazine-24", 0.0, standard=True, slot="magazine"),
        option("magazine-40", 9e3, 2.0, slot="magazine"),
        option("magazine-60", 19e3, 2.5, slot="magazine"),
        option("door", 6e3, 1.5),
        option("probe", 5e3, 2.0),
    ]
    options = [o.model_copy(update={"must": o.option == must}) for o in options]
    streams = [
        stream("many", between(0.5, 2.0, 4.0), 9e3, ["magazine-60"], chance=0.4),
        stream("tight", between(0.0, 0.5, 1.0), 9e3, ["probe"]),
    ]
    return case_of(options, streams, growth={"futures": futures})


def test_it_is_in_every_package_of_the_advice() -> None:
    told = advice(AdviceRequest(shop("magazine-40")))
    assert all("magazine-40" in package.options for package in told.packages)
    assert all("magazine-40" in point.options for point in told.frontier)
    found = {one.option: one for one in told.options}
    assert found["magazine-40"].verdict == "order now"
    assert found["magazine-40"].otherwise is None


def test_the_rest_is_chosen_as_the_best_that_holds_it() -> None:
    free, bound = valued_case(shop()), valued_case(shop("magazine-40"))
    best = best_package(bound)
    assert set(bound.options(best)) == {"magazine-40", "probe"}
    number = free.problem.options.index("magazine-40")
    cluster = next(
        i for i, cost in enumerate(free.costs) if any(number in own for own in cost.lattice.fitted)
    )
    lattice = free.costs[cluster].lattice
    holds = np.array([number in lattice.options(state) for state in range(lattice.size)])
    rival = best_package(free, within=(cluster, holds))
    assert set(free.options(rival)) == {"magazine-40", "probe"}


def test_its_rivals_can_still_be_fitted_later() -> None:
    told = {one.option: one for one in advice(AdviceRequest(shop("magazine-40"))).options}
    assert told["magazine-60"].verdict != "order now"
    lattices = valued_case(shop("magazine-40")).problem.lattices
    assert any(target.price == 19e3 for lattice in lattices for target in lattice.targets)


def test_the_same_holds_without_a_flag_where_it_is_ordered_anyway() -> None:
    free, bound = advice(AdviceRequest(shop())), advice(AdviceRequest(shop("probe")))
    assert bound.advised.options == free.advised.options
    assert bound.advised.npc == pytest.approx(free.advised.npc)


def test_the_bare_machine_has_it_and_pays_for_it() -> None:
    told = package_value(PackageRequest(shop("door"), package="base"))
    assert set(told.options) == {"magazine-24", "door"}
    assert told.price == 106e3


def test_the_programme_of_large_clusters_orders_it_too() -> None:
    case = shop("magazine-40")
    barred = [cluster_terms(case, number) for number in range(len(clusters(case)))]
    assert any(terms.barred for terms in barred)
    for terms in barred:
        for package in (cheapest_order(terms), dearest(terms)):
            assert not terms.barred.intersection(enumerate(package))
            assert terms.keeps(package)


def test_a_package_that_replaces_it_is_refused() -> None:
    with pytest.raises(RequestError, match=r"'magazine-40' is wanted in every package"):
        asked_package(shop("magazine-40"), ("magazine-60",), ())


def test_two_in_one_slot_are_refused() -> None:
    case = shop()
    options = tuple(
        o.model_copy(update={"must": o.slot == "magazine" and not o.standard})
        for o in case.catalogue.options
    )
    both = case.model_copy(update={"catalogue": Catalogue(options=options)})
    with pytest.raises(CaseError, match="is wanted in the slot 'magazine' too"):
        checked(both)


def test_what_it_requires_must_be_wanted_too() -> None:
    case = shop("door")
    options = tuple(
        o.model_copy(update={"requires": ("probe",)}) if o.option == "door" else o
        for o in case.catalogue.options
    )
    lame = case.model_copy(update={"catalogue": Catalogue(options=options)})
    with pytest.raises(CaseError, match="what is wanted cannot be ordered: 'door' requires"):
        checked(lame)
