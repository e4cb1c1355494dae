"""The random cases use every feature and leave something to decide."""

from collections import Counter

from hypothesis import HealthCheck, Phase, given, seed, settings

from optioneer.model.case import Case
from tests.oracle import exact, machine
from tests.oracle.strategies import MOST_STATES, small_cases

EXAMPLES = 120


def features(case: Case) -> set[str]:
    """Which parts of the model a case uses."""
    options, streams, growth = case.catalogue.options, case.growth.stream, case.growth
    slots = {option.option: machine.slot_of(option) for option in options}
    easers = [(slots[o.eased_by], slots[o.option]) for o in options if o.eased_by]
    used = {
        "graded slot": len(set(slots.values())) < len(options),
        "standard that stays": any(o.standard and o.delete_credit is None for o in options),
        "standard with credit": any(o.delete_credit is not None for o in options),
        "factory-only": not all(o.retrofittable for o in options),
        "requires": any(o.requires for o in options),
        "excludes": any(o.excludes for o in options),
        "bundle": bool(case.bundles),
        "eased in the slot": any(easer == eased for easer, eased in easers),
        "eased from elsewhere": any(easer != eased for easer, eased in easers),
        "named visit": any(o.call_out == "team" for o in options),
        "no visit": any(o.call_out is None for o in options),
        "downtime": any(o.downtime_days for o in options),
        "upkeep": any(o.upkeep_per_year for o in options),
        "resale": any(o.resale_share for o in options),
        "inflation": growth.retrofit_inflation > 0,
        "no discounting": growth.discount_rate == 0,
        "lead": case.dates.lead_years > 0,
        "several ways": any(len(stream.way) > 1 for stream in streams),
        "fallback": any(stream.fallback for stream in streams),
        "lasts": any(stream.lasts_years for stream in streams),
        "growth": any(stream.growth for stream in streams),
        "certain arrival": any(stream.years.certain for stream in streams),
        "loadings": any(stream.drivers for stream in streams),
        "two drivers": len(growth.driver) > 1,
        "nudge": any(driver.nudge for driver in growth.driver),
        "clusters": len(machine.clusters(case)) > 1,
    }
    return {name for name, there in used.items() if there} | {"any"}


def outcome(case: Case) -> str:
    """What the best package is: base, all or in between; and whether it is retrofitted."""
    npc, policy = exact.optimum_and_policy(case)
    best = min(npc, key=lambda state: npc[state])
    standards = frozenset(option.option for option in case.catalogue.standards)
    dearest = max(npc, key=lambda state: machine.order_cost(case, state))
    kind = "base" if best == standards else "all" if best == dearest else "between"
    later = max(exact.chance_fitted_under(policy, case, best).values()) > 0
    return f"{kind}, {'retrofitted' if later else 'left alone'}"


def test_cases_use_every_feature_and_decide_every_way() -> None:
    used: Counter[str] = Counter()
    outcomes: Counter[str] = Counter()

    @seed(1)
    @settings(
        max_examples=EXAMPLES,
        deadline=None,
        phases=[Phase.generate],
        database=None,
        suppress_health_check=list(HealthCheck),
    )
    @given(small_cases())
    def drawn(case: Case) -> None:
        assert 2 <= len(machine.states(case)) <= MOST_STATES
        used.update(features(case))
        outcomes.update([outcome(case)])

    drawn()
    total = sum(outcomes.values())
    rare = {name: count for name, count in used.items() if count < total / 40}
    assert len(used) == 27, "each feature is counted"
    assert not rare
    retrofitted = sum(count for kind, count in outcomes.items() if kind.endswith("retrofitted"))
    assert retrofitted > 0.25 * total, "about a third, with room for another draw"
    for kind in ("base", "all", "between"):
        assert (
            sum(count for name, count in outcomes.items() if name.startswith(kind)) > 0.02 * total
        )
