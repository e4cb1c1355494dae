"""What a machine can be, and what each state and each retrofit costs: the model's text in sets."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream

State = frozenset[str]
Multipliers = Mapping[str, tuple[float, float]]
"""Of each retrofittable option its retrofit multiplier: ordinary, and eased."""


def slot_of(option: Option) -> str:
    """The slot an option sits in: its own when none is named."""
    return option.slot or option.option


def states(case: Case) -> list[State]:
    """Every package that can be ordered, which is every state that can be reached, sorted."""
    slots = sorted({slot_of(option) for option in case.catalogue.options})
    choices = [
        [None, *(option.option for option in case.catalogue.options if slot_of(option) == slot)]
        for slot in slots
    ]
    chosen = (frozenset(level for level in levels if level) for levels in product(*choices))
    return sorted((state for state in chosen if allowed(case, state)), key=sorted)


def allowed(case: Case, state: State) -> bool:
    """Whether a state obeys requirements, exclusions and the standards that must stay."""
    fitted = [option for option in case.catalogue.options if option.option in state]
    filled = {slot_of(option) for option in fitted}
    return (
        len(filled) == len(fitted)
        and all(state.issuperset(option.requires) for option in fitted)
        and all(state.isdisjoint(option.excludes) for option in fitted)
        and all(
            slot_of(option) in filled
            for option in case.catalogue.options
            if option.standard and option.delete_credit is None
        )
    )


def order_cost(case: Case, state: State) -> float:
    """What the dealer is paid for machine and options at the order [money]."""
    by_id = {option.option: option for option in case.catalogue.options}
    filled = {slot_of(by_id[name]) for name in state}
    prices = sum(by_id[name].price for name in state if not by_id[name].standard)
    discounts = sum(bundle.discount for bundle in case.bundles if state.issuperset(bundle.options))
    credited = sum(
        option.delete_credit or 0.0
        for option in case.catalogue.options
        if option.standard and slot_of(option) not in filled
    )
    return case.machine.base_price + prices - discounts - credited


def ties(case: Case) -> Iterator[set[str]]:
    """Sets of options that something other than the default call-out ties together."""
    for option in case.catalogue.options:
        eased_by = {option.eased_by} if option.eased_by else set()
        yield {option.option, *option.requires, *option.excludes, *eased_by}
    for stream in case.growth.stream:
        yield {name for way in stream.way for name in way.options}
    for bundle in case.bundles:
        yield set(bundle.options)
    for visit in case.call_outs:
        if visit != "default":
            yield {o.option for o in case.catalogue.options if o.call_out == visit}


def clusters(case: Case) -> list[frozenset[str]]:
    """Options in groups whose slots are tied together, in steps if need be."""
    slots = {option.option: slot_of(option) for option in case.catalogue.options}
    groups = [frozenset([slot]) for slot in sorted(set(slots.values()))]
    for tie in ties(case):
        touched = {slots[name] for name in tie}
        joined = frozenset().union(*(group for group in groups if group & touched))
        groups = [group for group in groups if not group & touched] + [joined]
    return [frozenset(o for o, slot in slots.items() if slot in group) for group in groups if group]


def can_become(case: Case, before: State, after: State) -> bool:
    """Whether one period's moves lead from one allowed state to another."""
    by_id = {option.option: option for option in case.catalogue.options}
    gained = [by_id[name] for name in after - before]
    refilled = {slot_of(option) for option in gained}
    return all(option.retrofittable for option in gained) and all(
        slot_of(by_id[name]) in refilled for name in before - after
    )


def multiplier_of(
    case: Case, option: Option, moves: tuple[State, State], multiplier: Multipliers
) -> float:
    """The multiplier of an option fitted in moves from one state to another."""
    ordinary, eased = multiplier[option.option]
    before, after = moves
    for easer in case.catalogue.options:
        if easer.option == option.eased_by:
            seen = before if slot_of(easer) == slot_of(option) else after
            return eased if easer.option in seen else ordinary
    return ordinary


def certain_multipliers(case: Case) -> Multipliers:
    """The multipliers of a case in which every one of them is certain."""
    found = {}
    for option in case.catalogue.options:
        if option.multiplier is not None:
            eased = option.eased or option.multiplier
            if not (option.multiplier.certain and eased.certain):
                raise ValueError(f"{option.option}: the multiplier is not certain")
            found[option.option] = (option.multiplier.likely, eased.likely)
    return found


def visits_needed(case: Case) -> dict[str, tuple[int, str]]:
    """Of each option that needs one, its visit: number of its cluster, name of the call-out."""
    return {
        option.option: (number, option.call_out)
        for number, cluster in enumerate(clusters(case))
        for option in case.catalogue.options
        if option.option in cluster and option.call_out is not None
    }


@dataclass(frozen=True)
class Retrofits:
    """What the moves of a case cost, given the multipliers."""

    case: Case
    multiplier: Multipliers

    @cached_property
    def visits(self) -> dict[str, tuple[int, str]]:
        """Of each option that needs one, its visit."""
        return visits_needed(self.case)

    @cached_property
    def choices(self) -> dict[State, list[State]]:
        """From each state those that one period's moves lead to: itself first, then the others."""
        reachable = states(self.case)
        return {
            old: [
                old,
                *(new for new in reachable if new != old and can_become(self.case, old, new)),
            ]
            for old in reachable
        }

    def parts(self, before: State, after: State) -> tuple[float, float]:
        """In money of the order date: prices and visits, which inflate, and downtime [money]."""
        gained = [o for o in self.case.catalogue.options if o.option in after - before]
        moves = (before, after)
        prices = sum(
            later_price(o) * multiplier_of(self.case, o, moves, self.multiplier) for o in gained
        )
        visits = {self.visits[o.option] for o in gained if o.option in self.visits}
        charges = sum(self.case.call_outs[name] for _, name in visits)
        days = sum(option.downtime_days for option in gained)
        return prices + charges, days * self.case.machine.margin_per_day

    def present_cost(self, period: int, before: State, after: State) -> float:
        """Present cost of one period's moves [money]."""
        return float(self.presented(period, np.array(self.parts(before, after))))

    def presented(self, period: int, parts: NDArray[np.float64]) -> NDArray[np.float64]:
        """Present cost in a period of moves with these parts, shape (2, ...) [money]."""
        moment = start(self.case, period)
        inflated = parts[0] * (1 + self.case.growth.retrofit_inflation) ** moment
        return np.asarray(discount(self.case, moment) * (inflated + parts[1]))

    @cached_property
    def moves(self) -> list[tuple[NDArray[np.intp], NDArray[np.float64]]]:
        """From each state the numbers of its choices, and their parts, shape (2, choices)."""
        place = {state: number for number, state in enumerate(self.choices)}
        return [
            (
                np.array([place[after] for after in choices]),
                np.array([self.parts(before, after) for after in choices]).T,
            )
            for before, choices in self.choices.items()
        ]


def later_price(option: Option) -> float:
    """What a retrofit's multiplier counts on [money]."""
    return option.price if option.later_price is None else option.later_price


def upkeep(case: Case, state: State) -> float:
    """Yearly upkeep of what is fitted [money/year]."""
    return sum(o.upkeep_per_year for o in case.catalogue.options if o.option in state)


def resale(case: Case, state: State) -> float:
    """What comes back at the end of the horizon, undiscounted [money]."""
    options = sum(o.resale_share * o.price for o in case.catalogue.options if o.option in state)
    return case.machine.resale_share * case.machine.base_price + options


def earned_share(stream: Stream, state: State) -> float:
    """The share of a stream's margin that a state earns."""
    owned = [way.share for way in stream.way if state.issuperset(way.options)]
    return max([stream.fallback, *owned])


def periods_lasted(case: Case, stream: Stream) -> int:
    """How many periods a stream lasts from the one it arrives in."""
    if stream.lasts_years is None:
        return case.growth.periods
    if not isinstance(stream.lasts_years, float):
        raise TypeError(f"{stream.id}: how long it lasts is not certain")
    return round(stream.lasts_years * case.growth.periods_per_year)


def start(case: Case, period: float) -> float:
    """Years from the order to a period's start; half a period more is its middle."""
    return case.dates.lead_years + period / case.growth.periods_per_year


def discount(case: Case, years: float) -> float:
    """Present value of 1 paid that many years after the order."""
    return float((1 + case.growth.discount_rate) ** -years)
