"""Where what was learned costs more than the rule alone in the lessons, the rule is followed."""

from dataclasses import replace
from pathlib import Path

import numpy as np

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.study.problem.arrays import problem_of
from optioneer.study.problem.futures import with_draws
from optioneer.study.worth.valued_case import valued_case
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.timing.policy import Policy
from optioneer.valuation.timing.sweep import policy_costs
from tests.oracle.cases import between, case_of, option, stream
from tests.oracle.machine import State
from tests.valuation.engine import Engine, engine, futures

DEMOS = Path(__file__).parents[3] / "catalogs_demo"

BARE: State = frozenset()


def uncertain(
    price: float, multiplier: tuple[float, float, float], *, calls: float = 0.0, a_year: int = 4
) -> Case:
    """One option whose multiplier is anybody's guess, without the work that needs it."""
    probe = option("probe", price, 1.0, call_out="default" if calls else None)
    probe = probe.model_copy(update={"multiplier": between(*multiplier)})
    return case_of([probe], [], call_outs={"default": calls}, growth={"periods_per_year": a_year})


def with_work(case: Case, margin: float, chance: float, years: tuple[float, float, float]) -> Case:
    """`case` with the work that needs its option, for as long as the machine is there."""
    work = stream("work", between(*years), margin, ["probe"], chance=chance)
    return case.model_copy(update={"growth": case.growth.model_copy(update={"stream": (work,)})})


FOUND = with_work(uncertain(10e3, (0.6, 0.6, 4.2)), 9e3, 0.7, (0.0, 0.5, 6.0))
"""A case found at random, whose bare machine cost 160 +- 29 more as learned than under the rule."""


def on_many(case: Case, *, lessons: int = 2048) -> Engine:
    return engine(case, futures(problem_of(case), 4096), lessons=lessons)


def without_choice(found: Engine) -> Engine:
    """The engine as it would follow what was learned whatever it costs."""
    return replace(found, policies=tuple(replace(p, ruled=None) for p in found.policies))


def test_the_bare_machine_costs_no_more_as_learned_than_under_the_rule() -> None:
    found = on_many(FOUND)
    spoilt = without_choice(found).learned[BARE] - found.rule[BARE]
    assert spoilt.mean() > 4 * standard_error(spoilt)
    np.testing.assert_array_equal(found.learned[BARE], found.rule[BARE])


def test_no_state_of_the_mill_turn_costs_more_as_learned_than_under_the_rule() -> None:
    """Eight of its states did, by up to 425 +- 25. Five errors: there are many states."""
    found = valued_case(with_draws(read_case(DEMOS / "mill-turn"), 2048), bounds=False)
    for cost in found.costs:
        views = found.world.views(cost.lattice)
        rule = np.concatenate([policy_costs(view, [Policy()])[0] for view in views], axis=1)
        for state in np.flatnonzero(cost.lattice.orderable):
            extra = cost.learned[state] - cost.lattice.price[state] - rule[state]
            assert extra.mean() <= 5 * standard_error(extra) + 1.0


def test_a_policy_kept_to_the_rule_from_some_states_is_that_of_each_state_by_itself() -> None:
    found = on_many(FOUND, lessons=512)
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    by_state = [policy_costs(view, [policy.after(s)])[0][s] for s in range(lattice.size)]
    assert policy.ruled is not None
    assert policy.ruled.tolist() == [True, False]
    for asked in ([policy], [Policy(), policy], [policy, Policy()]):
        costs = policy_costs(view, asked)
        np.testing.assert_array_equal(costs[asked.index(policy)], np.array(by_state))


def test_where_every_state_keeps_to_the_rule_only_the_rule_is_followed() -> None:
    found = on_many(FOUND, lessons=512)
    (lattice,), (policy,) = found.problem.lattices, found.policies
    everywhere = replace(policy, ruled=np.ones(lattice.size, dtype=bool))
    view = found.view(lattice)
    rule, kept = policy_costs(view, [Policy(), everywhere])
    np.testing.assert_array_equal(kept, rule)
    np.testing.assert_array_equal(policy_costs(view, [everywhere])[0], rule)


def test_of_a_policy_only_what_those_follow_who_are_asked_for_is_followed() -> None:
    found = on_many(FOUND, lessons=512)
    (lattice,), (policy,) = found.problem.lattices, found.policies
    view = found.view(lattice)
    (whole,) = policy_costs(view, [policy])
    for asked in ([0], [1], [0, 1]):
        (costs,) = policy_costs(view, [policy.asked_from(asked)])
        np.testing.assert_array_equal(costs[asked], whole[asked])
    assert not policy.asked_from([0]).corrections
    assert policy.asked_from([1]).ruled is None
    assert policy.asked_from([0, 1]) is policy
