"""What the site adds to the cost of a package: one step cost, whoever of the options tips it.

A step ties all options that use its resource together, but only through their sum. So a package's
site cost is exactly ``now[level]`` of each step, where the level is the first one with room for
the sum: nothing is spread over options. A later retrofit that lifts the sum past the room of the
level owned buys the first level with room, at its `later` cost and `downtime`; levels are never
sold, so that the level owned is that of the largest sum ever fitted.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.model.site import Supply
from optioneer.study.needs.limits import SupplyLimit, bought_supplies, supply_cost, supply_limits
from optioneer.study.ready.ready import fitted_options
from optioneer.study.ready.road import FIRST_CHIPS, Road
from optioneer.study.ready.spending import spending, worth_at_order


@dataclass(frozen=True)
class Level:
    """One size of what a step buys.

    Parameters
    ----------
    supply
        Id of what is bought; none: what is on hand does.
    room
        Largest sum over the options that it lets through; infinite at the last level reachable.
    now
        Present value at the order of buying it with the machine: its payments at their dates, and
        the margin lost by every working day that it delays first chips [money].
    later
        Price and fitting of buying it with a retrofit, in money of the order date.
    downtime
        Margin lost to fitting it later, in money of the order date.
    lost
        The part of `now` that is margin lost [money].
    """

    supply: str | None
    room: float
    now: float
    later: float
    downtime: float
    lost: float = 0.0

    def taxed(self, paying: float, left: float) -> "Level":
        """The same after tax.

        Parameters
        ----------
        paying
            Value of paying 1 at the order.
        left
            What tax leaves of margin lost.
        """
        now = paying * (self.now - self.lost) + left * self.lost
        return replace(self, now=now, downtime=left * self.downtime, lost=left * self.lost)


@dataclass(frozen=True)
class SiteStep:
    """A step cost over the options that use one resource.

    Parameters
    ----------
    uses
        What each option adds to the sum, by id; options that add nothing are left out.
    slots
        Slot of each of these options.
    floors
        What a slot counts for at least, because it is reserved for a retrofit.
    levels
        By rising room; the first is the least that any package needs.
    """

    uses: Mapping[str, float]
    slots: Mapping[str, str]
    floors: Mapping[str, float]
    levels: tuple[Level, ...]

    def total(self, options: Iterable[str]) -> float:
        """Sum over a set of options, reserved slots counting what they are reserved for."""
        held = dict.fromkeys(self.floors, 0.0)
        for option in options:
            if option in self.uses:
                slot = self.slots[option]
                held[slot] = held.get(slot, 0.0) + self.uses[option]
        return sum(self.counted(slot, use) for slot, use in held.items())

    def counted(self, slot: str, use: float) -> float:
        """What a slot counts for that holds an option of this use."""
        return max(use, self.floors.get(slot, 0.0))

    def level(self, total: float) -> int:
        """The first level with room for a sum."""
        return next(n for n, level in enumerate(self.levels) if total <= level.room + 1e-9)

    def worth(self, factor: float) -> "SiteStep":
        """The same step where a unit of money at the order is worth so much at time 0."""
        if factor == 1.0:
            return self
        levels = tuple(replace(level, now=factor * level.now) for level in self.levels)
        return replace(self, levels=levels)

    def taxed(self, paying: float, left: float) -> "SiteStep":
        """The same step after tax; see `Level.taxed`."""
        if (paying, left) == (1.0, 1.0):
            return self
        return replace(self, levels=tuple(level.taxed(paying, left) for level in self.levels))


def site_steps(case: Case) -> tuple[SiteStep, ...]:
    """The steps whose level depends on the package and whose every level has a price.

    Parameters
    ----------
    case
        A checked case; one without a site has no steps.
    """
    return _steps(_Asked(case))


@dataclass(frozen=True)
class _Asked:
    """A case as far as its steps hang on it: the work that may turn up does not matter."""

    case: Case = field(compare=False)
    key: str = field(init=False)

    def __post_init__(self) -> None:
        facts = self.case.model_dump_json(exclude={"growth"})
        object.__setattr__(self, "key", f"{facts}{self.case.growth.discount_rate!r}")


@lru_cache(maxsize=8)
def _steps(asked: _Asked) -> tuple[SiteStep, ...]:
    """Kept, because a slider asks again and again."""
    found = (_step(asked.case, limit) for limit in supply_limits(asked.case))
    return tuple(step for step in found if step is not None)


def unpriced_kinds(case: Case) -> tuple[str, ...]:
    """Kinds of supplies that some package needs more of than is priced: in no package's cost."""
    return tuple(
        limit.kind
        for limit in supply_limits(case)
        if any(_price(case, s) is None for s in _reachable(case, limit) if s is not None)
    )


def undated_kinds(case: Case) -> tuple[str, ...]:
    """Kinds of supplies with a price that some package waits for, nobody knows how long."""
    unpriced = unpriced_kinds(case)
    return tuple(
        limit.kind
        for limit in supply_limits(case)
        if limit.kind not in unpriced
        and any(s.lead_days is None for s in _reachable(case, limit) if s is not None)
    )


def _step(case: Case, limit: SupplyLimit) -> SiteStep | None:
    reachable = list(_reachable(case, limit))
    if len(reachable) < 2 or any(s is not None and _price(case, s) is None for s in reachable):  # noqa: PLR2004 - one level is no step
        return None
    rooms = [_room(limit, supply) - limit.base for supply in reachable[:-1]] + [float("inf")]
    bare = _Laid(case, limit)
    return SiteStep(
        uses={
            option.option: amount
            for option in case.catalogue.options
            if (amount := float(getattr(option, limit.resource)))
        },
        slots={o.option: o.slot or o.option for o in case.catalogue.options},
        floors=limit.floors,
        levels=tuple(
            _level(case, supply, room, bare) for room, supply in zip(rooms, reachable, strict=True)
        ),
    )


def _reachable(case: Case, limit: SupplyLimit) -> Iterator[Supply | None]:
    """What packages from the least sum to the largest buy, by rising room; none: nothing."""
    least, most = _bounds(case, limit)
    price = case.machine.base_price
    total, last = least, limit.bought(least, price)
    yield last
    rooms = sorted({limit.room, *(room for room, _ in limit.supplies)})
    for room in rooms:
        if least <= room + 1e-9 < most + 1e-9 and room < most - 1e-9:
            total = room + 1e-6
            bought = limit.bought(total, price)
            if bought != last:
                yield bought
                last = bought


def _bounds(case: Case, limit: SupplyLimit) -> tuple[float, float]:
    """Least and largest sum over all sets of one option (or none) a slot."""
    least = most = limit.base
    for slot in case.catalogue.slots:
        amounts = [float(getattr(option, limit.resource)) for option in slot.options]
        amounts += [0.0] if slot.may_be_empty else []
        floor = limit.floors.get(slot.name, 0.0)
        least, most = least + max(min(amounts), floor), most + max(*amounts, floor)
    return least, most


def _room(limit: SupplyLimit, supply: Supply | None) -> float:
    if supply is None:
        return limit.room
    return limit.rating.room(float(supply.rating or 0))


def _price(case: Case, supply: Supply) -> float | None:
    return supply_cost(supply, case.machine.base_price)


class _Laid:
    """The road with the supplies of the standard machine, those of one kind exchanged."""

    def __init__(self, case: Case, limit: SupplyLimit) -> None:
        self.case = case
        options = fitted_options(case, Package(id="base"))
        self.others = [s for s in bought_supplies(case, options) if s.kind != limit.kind]
        self.bare = Road(case, self.others)

    def with_supply(self, supply: Supply) -> tuple[Road, float]:
        """The road with one more supply, and the working days it costs first chips."""
        road = Road(self.case, [*self.others, supply])
        work = road.network.calendar.work_before
        ends = [r.planned.finishes[r.number[FIRST_CHIPS]] for r in (self.bare, road)]
        return road, max(0.0, float((work(ends[1]) - work(ends[0])).item()))


def _level(case: Case, supply: Supply | None, room: float, laid: _Laid) -> Level:
    if supply is None:
        return Level(None, room, 0.0, 0.0, 0.0)
    road, delay = laid.with_supply(supply)
    lines = spending(case, [supply], road)
    paid = [p for line in lines if line.purchase.id == supply.id for p in line.payments]
    rate, a_day = case.growth.discount_rate, case.machine.margin_per_day
    price = _price(case, supply) or 0.0
    worth = worth_at_order(case, paid, rate) if paid else price
    lost = delay * a_day * (1 + rate) ** -case.dates.lead_years
    return Level(
        supply=supply.id,
        room=room,
        now=worth + lost,
        later=price * supply.later,
        downtime=supply.later_downtime_days * a_day,
        lost=lost,
    )
