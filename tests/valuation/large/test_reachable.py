"""Which retrofits are weighed together after an order."""

import pytest

from optioneer.study.problem.clusters import cluster_terms
from optioneer.valuation.large.reachable import _Live
from tests.oracle.cases import case_of, certain, option, stream


@pytest.mark.parametrize(
    ("asked", "together"),
    [
        ("abcdef", ["ab", "cd", "ef"]),
        ("acef", ["a", "c", "ef"]),
        ("bdf", ["b", "d", "f"]),
        ("abce", ["ab", "c", "e"]),
    ],
)
def test_slots_that_hang_together_make_one_part_and_every_slot_is_in_one(
    asked: str, together: list[str]
) -> None:
    """By work, by a rule and by a visit; one call-out of the team ties them all to a cluster."""
    visit = {"call_out": "team"}
    options = [option(name, 1e3, 1.2) for name in "abcdef"]
    options[2] = option("c", 1e3, 1.2, requires=("d",))
    options[4], options[5] = (option(name, 1e3, 1.2, **visit) for name in "ef")
    work = stream("pair", certain(1.0), 9e3, ["a", "b"])
    rest = stream("all", certain(1.0), 9e3, list("abcdef"), fallback=1.0)
    case = case_of(options, [work, rest], call_outs={"team": 500.0})
    terms, outlook = cluster_terms(case, 0), None
    live = _Live(terms, (0,) * 6, outlook)  # type: ignore[arg-type] # is not looked at
    names = [name for slot in case.catalogue.slots for name in [slot.name]]
    ids = sorted(case.catalogue.by_id)
    found = live.groups([ids.index(name) for name in asked])
    assert [[names[axis] for axis in group] for group in found] == [list(g) for g in together]
