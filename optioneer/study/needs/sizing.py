"""Figures of a site that are no need of their own: currents, devices, energy, fill, skates."""

from collections.abc import Iterator, Sequence

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.site import RULE_OF_THUMB, Compressor, Site, Supply
from optioneer.site import air, floor, power, startup
from optioneer.study.needs.answers import SiteFigure
from optioneer.study.needs.grounds import CODE, ELECTRICITY, VESSEL, WAY, Inputs
from optioneer.study.needs.loads import (
    air_drawn_l_min,
    allowed_cycles,
    listed_kva,
    load_kva,
    load_phases,
    shop_side_amps,
)

FLUID = "Read the fluid's safety data sheet; spent coolant is waste with rules of its own."
CURRENT = "A = kVA * 1000 / (V * sqrt 3); with one phase kVA * 1000 / V"


def site_figures(
    case: Case, options: Sequence[Option], supplies: Sequence[Supply]
) -> tuple[SiteFigure, ...]:
    """The figures, each with formula, source, inputs and caution."""
    site = case.site or Site()
    return (
        *_currents(site, options),
        *_run(site, options),
        *_listed_loads(site),
        *_devices(site, supplies),
        *_receivers(site),
        *_energy(case, options, supplies),
        *_skates(site, options),
        *_fill(site, supplies),
    )


def _currents(site: Site, options: Sequence[Option]) -> Iterator[SiteFigure]:
    kva = load_kva(site, options)
    load: Inputs = {
        "full load kVA": site.needs.full_load_kva,
        "options kVA": sum(option.kva for option in options),
        "other kVA": site.needs.other_kva,
    }
    yield SiteFigure(
        id="connected-load",
        name="connected load",
        value=kva,
        unit="kVA",
        formula="nameplate + options + what else hangs on the feed",
        source="Nameplate and options",
        inputs=dict(load),
        caution=ELECTRICITY,
    )
    rated = site.needs.voltage_v
    machine = None
    if kva is not None and rated is not None:
        machine = power.line_amps(kva, rated, phases=site.needs.phases)
    for key, name, amps, volts in [
        (
            "supply-current",
            "current on the supply's side",
            shop_side_amps(site, kva),
            site.shop.supply_v,
        ),
        ("machine-current", "current on the machine's side", machine, rated),
    ]:
        yield SiteFigure(
            id=key,
            name=name,
            value=amps,
            unit="A",
            formula=CURRENT,
            source="Definition of apparent power",
            inputs={"load kVA": kva, "V": volts},
            caution=f"{ELECTRICITY} {CODE}",
        )


def _run(site: Site, options: Sequence[Option]) -> Iterator[SiteFigure]:
    """The least area of the run's conductors for the voltage that they may lose."""
    shop, amps = site.shop, shop_side_amps(site, load_kva(site, options))
    area = None
    if amps is not None and shop.run_m is not None and shop.supply_v and shop.allowed_drop:
        lost = shop.allowed_drop * shop.supply_v
        phases = load_phases(site)
        area = power.area_for_drop_mm2(amps, shop.run_m, lost, metal=shop.conductor, phases=phases)
    yield SiteFigure(
        id="conductor-area",
        name="least conductor area for the voltage drop allowed",
        value=area,
        unit="mm2",
        formula="sqrt 3 (one phase: 2) * resistivity at 75 C * I * L / voltage that may be lost",
        source="Resistivity 12.9 (copper) and 21.2 (aluminium) ohm cmil/ft, voltagedropformula.com",
        inputs={"A": amps, "run m": shop.run_m, "supply V": shop.supply_v},
        caution=f"{ELECTRICITY} {CODE} What the conductor may carry can ask for more.",
    )


def _listed_loads(site: Site) -> Iterator[SiteFigure]:
    """Demand of the loads that are on the service, where they are listed."""
    if site.load:
        yield SiteFigure(
            id="listed-loads",
            name="demand of the loads on the service",
            value=listed_kva(site),
            unit="kVA",
            formula="sum of connected kVA * demand factor / diversity",
            source="Demand factors: UFC 3-501-01 (2015, change 1 of 2019), 2.2.3, Table 2",
            inputs={load.name or load.id: load.kva for load in site.load},
            caution=f"{ELECTRICITY} {CODE} A measured twelve-month record is better than any sum.",
        )


def _devices(site: Site, supplies: Sequence[Supply]) -> Iterator[SiteFigure]:
    """Largest protective devices of a transformer that is bought."""
    bought = next((s for s in supplies if s.kind == "transformer"), None)
    if bought is None or bought.rating is None:
        return
    supply, rated = (
        (site.shop.supply_v, load_phases(site)),
        (site.needs.voltage_v, site.needs.phases),
    )
    sides = [
        ("primary-device", "on the primary side", supply, power.primary_device_a),
        ("secondary-device", "on the secondary side", rated, power.secondary_device_a),
        (
            "primary-only-device",
            "on the primary side if the secondary has none",
            supply,
            power.primary_only_device_a,
        ),
    ]
    for key, side, (volts, phases), device in sides:
        amps = None if volts is None else power.line_amps(bought.rating, volts, phases=phases)
        ratings = site.shop.device_ratings_a
        yield SiteFigure(
            id=key,
            name=f"largest protective device {side}",
            value=None if amps is None else device(amps, ratings),
            unit="A",
            formula="250 % of the primary current, rounded down; 125 % of the secondary, up; 125 % "
            "of the primary alone, up",
            source=f"NEC Table 450.3(B), in the 2026 edition 450.5(B); ratings: {RULE_OF_THUMB}",
            inputs={"transformer kVA": bought.rating, "V": volts, "rated A": amps},
            caution=f"{ELECTRICITY} {CODE} Conductors follow rules of their own.",
        )


def _receivers(site: Site) -> Iterator[SiteFigure]:
    """Receiver volume that keeps each compressor within its load cycles at the worst demand."""
    for compressor in site.air.compressor:
        low, high, cycles = compressor.load_bar, compressor.unload_bar, allowed_cycles(compressor)
        known = None
        if low is not None and high is not None and cycles:
            known = air.receiver_for_cycles_l(
                cycles,
                compressor.delivery_l_min,
                band_bar=high - low,
                atmosphere_bar=site.air.atmosphere_bar,
            )
        yield SiteFigure(
            id=f"receivers-{compressor.id}",
            name=f"receivers that keep {compressor.id} within its load cycles at any demand",
            value=known,
            unit="L",
            formula="60 / cycles * Q * Pa * x * (1 - x) / band, at the worst x = 1/2",
            source="Cycle method",
            inputs={
                "delivery L/min": compressor.delivery_l_min,
                "load bar": low,
                "unload bar": high,
                "cycles 1/h": cycles,
            },
            caution=VESSEL,
        )


def _energy(
    case: Case, options: Sequence[Option], supplies: Sequence[Supply]
) -> Iterator[SiteFigure]:
    """Yearly energy cost of compressed air, with the receivers on hand and with those bought."""
    site, currency = case.site or Site(), case.machine.currency
    added = sum(float(s.rating or 0) for s in supplies if s.kind == "receiver")
    volume = site.air.receivers_l
    demand = air_drawn_l_min(site, options)
    cases = [("air-energy", "yearly energy of compressed air", volume)]
    if added and volume is not None:
        after = volume + added
        cases.append(("air-energy-after", "the same with the receiver that is bought", after))
    for key, name, litres in cases:
        yield SiteFigure(
            id=key,
            name=name,
            value=_yearly_cost(site, demand, litres),
            unit=f"{currency}/year",
            formula="loaded kW * (x + (1 - x) * mean idle share) * hours * price",
            source="Cost formula: US DOE sourcebook on compressed air; idle share: derived",
            inputs={
                "demand L/min": demand,
                "receivers L": litres,
                "h/year": site.air.hours_per_year,
                f"{currency}/kWh": site.air.price_per_kwh,
            },
            caution=VESSEL,
        )


def _yearly_cost(site: Site, demand: float | None, litres: float | None) -> float | None:
    hours, price = site.air.hours_per_year, site.air.price_per_kwh
    if None in {demand, litres, hours, price} or not site.air.compressor:
        return None
    total, left = 0.0, float(demand or 0)
    for compressor in site.air.compressor:
        load = min(1.0, left / compressor.delivery_l_min)
        left = max(0.0, left - compressor.delivery_l_min)
        kilowatts = _mean_kw(site, compressor, load, float(litres or 0))
        if kilowatts is None:
            return None
        total += air.energy_cost(kilowatts, float(hours or 0), price_per_kwh=float(price or 0))
    return total


def _mean_kw(site: Site, compressor: Compressor, load: float, litres: float) -> float | None:
    """Mean power of one compressor [kW]; none: a figure is missing."""
    known = (compressor.power_kw, compressor.unloaded_share, compressor.blowdown_s)
    band = (compressor.load_bar, compressor.unload_bar)
    if None in known or None in band:
        return None
    cycle = air.cycle_minutes(
        litres,
        compressor.delivery_l_min,
        load=load,
        band_bar=float(compressor.unload_bar or 0) - float(compressor.load_bar or 0),
        atmosphere_bar=site.air.atmosphere_bar,
    )
    return air.part_load_kw(
        float(compressor.power_kw or 0),
        load=load,
        unloaded_share=float(compressor.unloaded_share or 0),
        blowdown_min=float(compressor.blowdown_s or 0) / 60,
        cycle_min=cycle,
    )


def _skates(site: Site, options: Sequence[Option]) -> Iterator[SiteFigure]:
    mass = site.needs.mass_kg
    total = None if mass is None else mass + sum(option.mass_kg for option in options)
    for points in (3, 4):
        yield SiteFigure(
            id=f"skates-{points}",
            name=f"least rating of each of {points} skates",
            value=None if total is None else floor.skate_rating_kg(total, points),
            unit="kg",
            formula="mass / 3 / 0.8" if points == power.THREE else "mass / 2 / 0.8",
            source="Load at most 80 % of capacity (riggers' texts); two of four may carry all",
            inputs={"mass kg": total},
            caution=WAY,
        )


def _fill(site: Site, supplies: Sequence[Supply]) -> Iterator[SiteFigure]:
    for supply in (s for s in supplies if s.kind == "coolant"):
        sump, share = site.needs.sump_l, supply.rating
        known = None if sump is None or share is None else startup.first_fill_l(sump, share)
        yield SiteFigure(
            id=f"{supply.id}-fill",
            name="concentrate of the first fill",
            value=known,
            unit="L",
            formula="sump * concentration",
            source="Top-up guide of a fluid trader",
            inputs={"sump L": sump, "concentration": share},
            caution=FLUID,
        )
