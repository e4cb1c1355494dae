"""What becomes of a package and how far it can be bettered, kept by the content of what is read."""

from dataclasses import fields

from optioneer.valuation.cache.content import content_name, swept_name
from optioneer.valuation.cache.memory import Arrays, remembered
from optioneer.valuation.timing.cluster import ClusterCost, World, journey_of_state
from optioneer.valuation.timing.journey import Journey
from optioneer.valuation.timing.policy import Mapper, Policy


def known_journey(world: World, cost: ClusterCost, state: int, run: Mapper) -> Journey:
    """What the learned policy does with `state` in every future, kept from then on.

    As `cluster.lived`; of a list of packages nothing is kept.
    """
    if cost.journeys is not None:
        return journey_of_state(world, cost, state, run)

    def make() -> Arrays:
        found = journey_of_state(world, cost, state, run)
        return {each.name: getattr(found, each.name) for each in fields(found)}

    name = content_name("journey", swept_name(world, cost.lattice), learned_in(cost.policy), state)
    return Journey(**remembered(name, make))


def learned_in(policy: Policy) -> tuple[object, ...]:
    """The content of a policy: what it looks at hangs on lattice and scenario."""
    return policy.corrections, policy.ruled
