"""Supply limits: what of the site a package may outgrow, and what can be bought then.

A supply limit bounds a sum over the options fitted (kVA, air, mass, floor). Past what is there, the
cheapest supply that lets the sum through is bought: one step cost shared by all those options.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.site import Site, Supply, SupplyKind
from optioneer.site import air, floor, power, startup
from optioneer.study.needs.loads import load_bar, load_phases, peak_amps

Resource = str
"""Name of the option's column: `kva`, `air_l_min`, `mass_kg` or `floor_m2`."""


@dataclass(frozen=True)
class SupplyLimit:
    """One limit and the supplies that raise it.

    Parameters
    ----------
    resource
        What is added up over the options.
    floors
        What each slot counts for at least, because it is reserved for a retrofit.
    have
        Rating on hand, in the supply's unit.
    supplies
        What can be bought, with the largest sum that each lets through.
    rating
        Rating that a supply of this kind needs for a sum (`rating` in the supply's unit).
    """

    kind: SupplyKind
    resource: Resource
    base: float
    floors: Mapping[str, float]
    have: float
    supplies: tuple[tuple[float, Supply], ...]
    rating: "Rating"

    @property
    def room(self) -> float:
        """Largest sum that what is on hand lets through."""
        return self.rating.room(self.have)

    def used(self, option: Option | None) -> float:
        """What an option adds to the sum; nothing without one."""
        return 0.0 if option is None else float(getattr(option, self.resource))

    def total(self, options: Iterable[Option]) -> float:
        """The sum for a set of options fitted, slots reserved for more counting that."""
        held: dict[str, float] = dict.fromkeys(self.floors, 0.0)
        for option in options:
            slot = option.slot or option.option
            held[slot] = held.get(slot, 0.0) + self.used(option)
        return self.base + sum(max(use, self.floors.get(slot, 0.0)) for slot, use in held.items())

    def bought(self, total: float, base_price: float) -> Supply | None:
        """What must be bought for a sum: none when there is room.

        The cheapest supply that suffices, those without a price last; a supply that nobody has
        listed comes without price and lead time.
        """
        if total <= self.room + 1e-9:
            return None
        enough = [supply for room, supply in self.supplies if room >= total - 1e-9]
        if not enough:
            return self._supply_to_buy(total)
        return min(enough, key=lambda supply: _cost_or_endless(supply, base_price))

    def _supply_to_buy(self, total: float) -> Supply:
        rating = self.rating.bought(total)
        return Supply(
            id=f"{self.kind}-not-listed",
            what=f"{self.kind} of {rating:g} or more (not listed among the supplies)",
            kind=self.kind,
            rating=rating,
        )


@dataclass(frozen=True)
class Rating:
    """The sum of a kind of supply, and the same solved for what hangs on it.

    Parameters
    ----------
    exact
        Least rating for a sum over the options.
    room
        Largest sum that a rating lets through.
    sizes
        Standard sizes in which supplies are bought, rising; none: any.
    """

    exact: Callable[[float], float]
    room: Callable[[float], float]
    sizes: Sequence[float] = ()

    def bought(self, total: float) -> float:
        """Least rating for a sum that one can buy."""
        exact = self.exact(total)
        return power.next_size(exact, self.sizes) or math.ceil(exact - 1e-9)


def supply_cost(supply: Supply, base_price: float, sump_l: float | None = None) -> float | None:
    """Price of a supply, fitting included [money]; none: not given."""
    if supply.price is not None:
        return supply.price + supply.install
    if supply.share_of_price is not None:
        return supply.share_of_price * base_price + supply.install
    quantity = supply.quantity
    if supply.kind == "coolant" and quantity is None and sump_l is not None:
        quantity = startup.first_fill_l(sump_l, float(supply.rating or 0))
    if quantity is None or supply.unit_price is None:
        return None
    return quantity * supply.unit_price + supply.install


def _cost_or_endless(supply: Supply, base_price: float) -> tuple[float, float]:
    cost = supply_cost(supply, base_price)
    return (math.inf if cost is None else cost), float(supply.rating or 0)


def supply_limits(case: Case) -> tuple[SupplyLimit, ...]:
    """The supply limits of a case whose figures are all there."""
    site = case.site
    if site is None:
        return ()
    found = (*_power_limits(site), *_air_limits(site), *_floor_limits(site))
    return tuple(replace(limit, floors=_floors(case, limit)) for limit in found)


def _floors(case: Case, limit: SupplyLimit) -> Mapping[str, float]:
    """By slot, the largest use of an option that it is reserved for."""
    chosen = (case.site or Site()).plan.reserve_for
    floors: dict[str, float] = {}
    for option in case.catalogue.options:
        use = limit.used(option)
        if option.option in chosen and use:
            slot = option.slot or option.option
            floors[slot] = max(floors.get(slot, 0.0), use)
    return floors


def needs_transformer(site: Site) -> bool | None:
    """Whether the machine cannot hang on the supply directly; none: a voltage is missing."""
    rated, supply = site.needs.voltage_v, site.shop.supply_v
    if rated is None or supply is None:
        return None
    off = abs(supply / rated - 1)
    return off > site.needs.voltage_tolerance + 1e-9


def _power_limits(site: Site) -> Iterator[SupplyLimit]:
    load = site.needs.full_load_kva
    if load is None:
        return
    base = load + site.needs.other_kva
    if needs_transformer(site):
        spare = site.needs.spare_factor
        rating = Rating(lambda kva: kva * spare, lambda kva: kva / spare, _transformer_sizes(site))
        hand = (t.kva for t in site.transformer if _between(t.primary_v, t.secondary_v, site))
        yield _limit(
            site, "transformer", "kva", base=base, rating=rating, have=max(hand, default=0)
        )
    shop, peak = site.shop, peak_amps(site)
    if shop.supply_v is not None and shop.service_a is not None and peak is not None:
        rating = _service(site, shop.supply_v, peak)
        yield _limit(site, "service", "kva", base=base, rating=rating, have=shop.service_a)


def _service(site: Site, volts: float, peak: float) -> Rating:
    shop, phases = site.shop, load_phases(site)

    def amps(*new: float) -> float:
        return power.service_amps(peak, [shop.other_a, *new], shop.peak_factor)

    return Rating(
        lambda kva: amps(power.line_amps(kva, volts, phases=phases)),
        lambda rating: power.line_kva(volts, rating - amps(), phases=phases),
    )


def _transformer_sizes(site: Site) -> Sequence[float]:
    return power.THREE_PHASE_KVA if site.needs.phases == power.THREE else power.SINGLE_PHASE_KVA


def _between(primary_v: float, secondary_v: float, site: Site) -> bool:
    """Whether a transformer leads from the supply's voltage to the machine's."""
    near = site.needs.voltage_tolerance
    supply, rated = float(site.shop.supply_v or 0), float(site.needs.voltage_v or 0)
    return abs(primary_v / supply - 1) <= near and abs(secondary_v / rated - 1) <= near


def _air_limits(site: Site) -> Iterator[SupplyLimit]:
    average, present = site.needs.air_l_min, site.air.present_l_min
    if not site.air.compressor or present is None:
        return
    delivery = sum(compressor.delivery_l_min for compressor in site.air.compressor)
    if average is not None:
        # A compressor is added to those on hand, so its rating is what they lack.
        leak = site.air.leak_share
        rating = Rating(
            lambda added: air.drawn_l_min(present, added, leak_share=leak) - delivery,
            lambda more: air.addable_l_min(delivery + more, present, leak_share=leak),
        )
        yield _limit(site, "compressor", "air_l_min", base=average, rating=rating, have=0.0)
    peak, seconds, drop = site.needs.air_peak_l_min, site.needs.air_peak_s, pressure_drop(site)
    volume = site.air.receivers_l
    if peak is not None and seconds is not None and drop and volume is not None:
        rating = _receiver(site, seconds / 60, drop, spare=max(0.0, delivery - present))
        yield _limit(site, "receiver", "air_l_min", base=peak, rating=rating, have=0.0)


def _receiver(site: Site, minutes: float, drop: float, *, spare: float) -> Rating:
    """What a receiver beside those on hand must hold."""
    volume = site.air.receivers_l or 0.0
    known = {"refill_l_min": spare, "drop_bar": drop, "atmosphere_bar": site.air.atmosphere_bar}
    return Rating(
        lambda peak: air.receiver_l(minutes, peak, **known) - volume,
        lambda more: air.bridged_l_min(minutes, volume + more, **known),
    )


def pressure_drop(site: Site) -> float | None:
    """Pressure that may be lost below the load point [bar]; none: unknown or nothing left."""
    loads = load_bar(site)
    if loads is None or site.needs.air_bar is None:
        return None
    drop = loads - site.needs.air_bar
    return drop if drop > 0 else None


def _floor_limits(site: Site) -> Iterator[SupplyLimit]:
    needs, shop = site.needs, site.shop
    if needs.length_m is None or needs.width_m is None:
        return
    footprint = needs.length_m * needs.width_m
    mass, load = needs.mass_kg, needs.load_kg
    if mass is not None and load is not None and shop.floor_limit_kg_m2 is not None and footprint:
        base = mass + load
        rating = Rating(
            lambda kg: floor.floor_load_kg_m2(kg, footprint), lambda limit: limit * footprint
        )
        have = shop.floor_limit_kg_m2
        yield _limit(site, "floor", "mass_kg", base=base, rating=rating, have=have)
    if needs.service_m and shop.free_length_m is not None and shop.free_width_m is not None:
        long, wide = floor.with_service_m(needs.length_m, needs.width_m, needs.service_m)
        base, free = long * wide, shop.free_length_m * shop.free_width_m
        rating = Rating(lambda taken: taken - free, lambda gained: gained + free)
        yield _limit(site, "area", "floor_m2", base=base, rating=rating, have=0.0)


def _limit(
    site: Site, kind: SupplyKind, resource: Resource, *, base: float, rating: Rating, have: float
) -> SupplyLimit:
    listed = [(rating.room(float(s.rating or 0)), s) for s in site.supply if s.kind == kind]
    return SupplyLimit(
        kind=kind,
        resource=resource,
        base=base,
        floors={},
        have=have,
        supplies=tuple(sorted(listed, key=lambda pair: (pair[0], pair[1].id))),
        rating=rating,
    )


def bought_supplies(case: Case, options: Sequence[Option]) -> tuple[Supply, ...]:
    """All that is bought for the site with some options: the always needed, then the outgrown."""
    if case.site is None:
        return ()
    always = [supply for supply in case.site.supply if supply.kind in {"other", "coolant"}]
    price = case.machine.base_price
    needed = [limit.bought(limit.total(options), price) for limit in supply_limits(case)]
    return (*always, *(supply for supply in needed if supply is not None))
