"""Loads of a machine with its options on the shop's supplies; none: a figure is missing."""

import math
from collections.abc import Sequence

from optioneer.model.catalogue import Option
from optioneer.model.site import Compressor, Site
from optioneer.site import air, power
from optioneer.units import in_unit


def load_phases(site: Site) -> int:
    """Phases of the machine's load on the supply: one if either side has but one."""
    return min(site.needs.phases, site.shop.phases)


def load_kva(site: Site, options: Sequence[Option]) -> float | None:
    """Connected load on the machine's feed [kVA]; none: the nameplate's is missing."""
    if site.needs.full_load_kva is None:
        return None
    return site.needs.full_load_kva + site.needs.other_kva + sum(o.kva for o in options)


def shop_side_amps(site: Site, kva: float | None) -> float | None:
    """Current of a load on the shop's side [A]; none: a figure is missing."""
    volts = site.shop.supply_v
    if kva is None or volts is None:
        return None
    return power.line_amps(kva, volts, phases=load_phases(site))


def least_ampacity(site: Site, options: Sequence[Option]) -> float | None:
    """What the conductors of the run must carry, on the shop's side [A]; none: figures missing."""
    kva, motor, heating = load_kva(site, options), site.needs.largest_motor_a, site.needs.heating_a
    rated, supply = site.needs.voltage_v, site.shop.supply_v
    if kva is None or motor is None or rated is None or supply is None:
        return None
    full = power.line_amps(kva, rated, phases=load_phases(site))
    least = power.supply_amps(heating, [motor], max(0.0, full - heating - motor))
    return least * rated / supply


def listed_kva(site: Site) -> float | None:
    """Demand of the loads that are there, by demand factors and diversity [kVA]; none: no list."""
    loads = [(load.kva, load.factor) for load in site.load]
    return power.group_kva(loads, site.shop.diversity) if loads else None


def peak_amps(site: Site) -> float | None:
    """Peak of what is on the service: as measured, else of the loads [A]; none: neither given."""
    listed = listed_kva(site)
    if site.shop.peak_a is not None or listed is None or site.shop.supply_v is None:
        return site.shop.peak_a
    return power.line_amps(listed, site.shop.supply_v, phases=site.shop.phases)


def air_drawn_l_min(site: Site, options: Sequence[Option]) -> float | None:
    """Average demand with the new machine [L/min]; none: a figure is missing."""
    if site.air.present_l_min is None or site.needs.air_l_min is None:
        return None
    added = site.needs.air_l_min + sum(option.air_l_min for option in options)
    return air.drawn_l_min(site.air.present_l_min, added, leak_share=site.air.leak_share)


def line_flow_l_min(site: Site, options: Sequence[Option]) -> float | None:
    """Most air that the line to the machine carries [L/min]; none: no figure is given."""
    flow = site.needs.air_peak_l_min or site.needs.air_l_min
    return None if flow is None else flow + sum(option.air_l_min for option in options)


def load_bar(site: Site) -> float | None:
    """Pressure at which the first compressor loads [bar]; none: missing."""
    return min((c.load_bar for c in site.air.compressor if c.load_bar is not None), default=None)


def line_loss_bar(site: Site, options: Sequence[Option]) -> float | None:
    """Pressure lost along the line to the machine [bar]; none: a figure is missing."""
    flow, start = line_flow_l_min(site, options), load_bar(site)
    length, bore = site.air.line_m, site.air.line_mm
    if flow is None or start is None or length is None or bore is None:
        return None
    absolute = start + site.air.atmosphere_bar
    return air.line_drop_bar(flow, length, bore_mm=bore, absolute_bar=absolute)


def allowed_cycles(compressor: Compressor) -> float | None:
    """Load cycles an hour that it may make, by its maker or its motor [1/h]; none: missing."""
    motor, poles = compressor.motor_kw, compressor.poles
    if compressor.cycles_per_hour is not None or motor is None or poles is None:
        return compressor.cycles_per_hour
    return air.starts_per_hour(motor / in_unit("1 hp", "kW"), poles)


def compressor_cycles(site: Site, options: Sequence[Option], key: str) -> float | None:
    """Load cycles an hour of the compressor that follows demand [1/h]; none: figures missing.

    The others are taken to run through, as far as demand needs them; a compressor that is never
    or always loaded makes none, one without a receiver endlessly many.
    """
    demand, volume = air_drawn_l_min(site, options), site.air.receivers_l
    compressor = next(c for c in site.air.compressor if c.id == key)
    low, high = compressor.load_bar, compressor.unload_bar
    if demand is None or volume is None or low is None or high is None:
        return None
    others = sum(c.delivery_l_min for c in site.air.compressor if c.id != key)
    load = min(1.0, max(0.0, (demand - others) / compressor.delivery_l_min))
    minutes = air.cycle_minutes(
        volume,
        compressor.delivery_l_min,
        load=load,
        band_bar=high - low,
        atmosphere_bar=site.air.atmosphere_bar,
    )
    return 60 / minutes if minutes else math.inf
