"""Each hand-made case is decided by the feature it is named for."""

from optioneer.model.case import Case
from tests.oracle import cases, exact
from tests.oracle.machine import State


def best(case: Case) -> tuple[State, dict[str, float]]:
    """The best package, and the chance that each option is fitted later (only those with any)."""
    npc = exact.optimum(case)
    package = min(npc, key=lambda state: npc[state])
    later = exact.chance_fitted_later(case, package)
    return package, {name: round(chance, 6) for name, chance in later.items() if chance > 0}


def test_certain_work_is_fitted_for_the_year_before_it_comes() -> None:
    case = cases.anticipation()
    npc, policy = exact.optimum_and_policy(case)
    probe = frozenset(["probe"])
    assert best(case) == (frozenset(), {"probe": 1.0})
    assert exact.plan_of(case, policy, [2], frozenset()) == [(1, probe)]
    assert npc[frozenset()] < npc[probe] - 1000


def test_waiting_beats_ordering_and_never() -> None:
    case = cases.waiting()
    package, later = best(case)
    assert (package, later) == (frozenset(), {"probe": 0.25})
    never = case.catalogue.options[0].model_copy(
        update={"fitting": "factory-only", "multiplier": None}
    )
    frozen = case.model_copy(
        update={"catalogue": case.catalogue.model_copy(update={"options": (never,)})}
    )
    npc, without = exact.optimum(case), exact.optimum(frozen)
    assert npc[package] < min(without.values()) - 1000


def test_a_shared_visit_makes_a_pair_of_retrofits_worth_while() -> None:
    assert best(cases.shared_visit()) == (frozenset(), {"a": 0.36, "b": 0.36})
    assert best(cases.shared_visit("default")) == (frozenset(), {})


def test_the_prepared_interface_is_ordered_and_completed_later() -> None:
    package, later = best(cases.prepared())
    assert (package, later) == (frozenset(["robot-prepared"]), {"robot-complete": 0.4})


def test_an_exclusion_turns_the_order_to_the_dearer_rival() -> None:
    assert best(cases.blocked())[0] == {"chuck-flat"}
    assert best(cases.blocked(excludes=()))[0] == {"chuck-tall"}


def test_a_bundle_turns_the_order() -> None:
    assert best(cases.bundled())[0] == {"cooling", "probe"}
    assert best(cases.bundled(discount=0.0))[0] == frozenset()


def test_early_work_on_a_driver_is_read_as_a_sign() -> None:
    case = cases.driven()
    _, policy = exact.optimum_and_policy(case)
    sensor, never = frozenset(["sensor"]), case.growth.periods
    assert exact.plan_of(case, policy, [0, 2], frozenset()) == [(1, sensor)]
    assert exact.plan_of(case, policy, [never, never], frozenset()) == []
    _, blind = exact.optimum_and_policy(cases.driven(loading=0.0))
    assert exact.plan_of(case, blind, [0, 2], frozenset()) == [(2, sensor)]


def test_a_standard_with_credit_is_left_off_and_bought_back_if_need_be() -> None:
    package, later = best(cases.left_off())
    assert package == frozenset()
    assert 0.1 < later["conveyor"] < 0.25
