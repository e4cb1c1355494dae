"""Loads of a machine with its options on the shop's supplies; none: a figure is missing."""

from collections.abc import Sequence

from optioneer.model.catalogue import Option
from optioneer.model.site import Site
from optioneer.site import air, power

THREE = 3
"""Phases of a three-phase supply."""


def load_kva(site: Site, options: Sequence[Option]) -> float | None:
    """Connected load on the machine's feed [kVA]; none: the nameplate's is missing."""
    if site.needs.full_load_kva is None:
        return None
    return site.needs.full_load_kva + site.needs.other_kva + sum(o.kva for o in options)


def supply_amps(site: Site, kva: float | None) -> float | None:
    """Current of a load on the shop's side [A]; none: a figure is missing."""
    volts = site.shop.supply_v
    if kva is None or volts is None:
        return None
    three = site.shop.phases == THREE
    return power.three_phase_amps(kva, volts) if three else power.single_phase_amps(kva, volts)


def air_drawn_l_min(site: Site, options: Sequence[Option]) -> float | None:
    """Average demand with the new machine [L/min]; none: a figure is missing."""
    if site.air.present_l_min is None or site.needs.air_l_min is None:
        return None
    added = site.needs.air_l_min + sum(option.air_l_min for option in options)
    return site.air.present_l_min + added * (1 + site.air.leak_share)


def compressor_cycles(site: Site, options: Sequence[Option], key: str) -> float | None:
    """Load cycles an hour of the compressor that follows demand [1/h]; none: figures missing.

    The others are taken to run through, as far as demand needs them; a compressor that is never
    or always loaded makes none.
    """
    demand, volume = air_drawn_l_min(site, options), site.air.receivers_l
    compressor = next(c for c in site.air.compressor if c.id == key)
    if demand is None or not volume or compressor.load_bar is None or compressor.unload_bar is None:
        return None
    others = sum(c.delivery_l_min for c in site.air.compressor if c.id != key)
    load = min(1.0, max(0.0, (demand - others) / compressor.delivery_l_min))
    minutes = air.cycle_minutes(
        volume,
        compressor.delivery_l_min,
        load=load,
        band_bar=compressor.unload_bar - compressor.load_bar,
        atmosphere_bar=site.air.atmosphere_bar,
    )
    return 60 / minutes
