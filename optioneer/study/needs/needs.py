"""Needs: what the machine with a set of options asks of the site, against what is there."""

import math
from collections.abc import Iterator, Sequence

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.site import RULE_OF_THUMB, Site, SupplyKind
from optioneer.study.needs.answers import Need
from optioneer.study.needs.grounds import CODE, ELECTRICITY, SLAB, VESSEL, Grounds, Inputs, need
from optioneer.study.needs.limits import (
    SupplyLimit,
    needs_transformer,
    pressure_drop,
    supply_limits,
)
from optioneer.study.needs.loads import (
    air_drawn_l_min,
    allowed_cycles,
    compressor_cycles,
    line_flow_l_min,
    line_loss_bar,
    load_bar,
    peak_amps,
)
from optioneer.study.needs.place import panel_needs, run_needs, standing_needs, way_needs


def site_needs(case: Case, options: Sequence[Option]) -> tuple[Need, ...]:
    """Every need, in the order in which a site is checked.

    Parameters
    ----------
    case
        A case with a site.
    options
        Everything fitted.
    """
    site = case.site or Site()
    return (
        *_supply_needs(site),
        *_gate_needs(case, options),
        *run_needs(site, options),
        *panel_needs(site),
        *_compressor_needs(site, options),
        *standing_needs(site, options),
        *way_needs(site),
    )


def _supply_needs(site: Site) -> Iterator[Need]:
    needs, shop = site.needs, site.shop
    rated, supply = needs.voltage_v, shop.supply_v
    off = None if rated is None or supply is None else abs(supply / rated - 1)
    yield need(
        "voltage",
        "deviation of the supply from the rated voltage",
        required=None if off is None else 100 * off,
        available=100 * needs.voltage_tolerance,
        unit="%",
        grounds=Grounds(
            "|supply / rated - 1|",
            "A published site-preparation page and turning-centre manual allow 10 %",
            f"{ELECTRICITY} Past the limit a transformer is needed.",
        ),
        inputs={"rated V": rated, "supply V": supply},
    )
    hertz = None not in {needs.frequency_hz, shop.frequency_hz}
    yield need(
        "frequency",
        "difference of frequencies",
        required=abs((needs.frequency_hz or 0) - (shop.frequency_hz or 0)) if hertz else None,
        available=0.0,
        unit="Hz",
        grounds=Grounds(
            "|supply - rated|",
            "A transformer changes voltage, not frequency (transformer maker's technical note)",
            "Another frequency needs the builder's word, not a transformer.",
        ),
        inputs={"rated Hz": needs.frequency_hz, "supply Hz": shop.frequency_hz},
    )
    yield need(
        "phases",
        "phases",
        required=float(needs.phases),
        available=float(shop.phases),
        unit="phases",
        grounds=Grounds("as stated", "Nameplate", ELECTRICITY),
        inputs={"rated": needs.phases, "supply": shop.phases},
    )


LIMITS: dict[SupplyKind, tuple[str, str, Grounds]] = {
    "transformer": (
        "transformer rating",
        "kVA",
        Grounds(
            "load kVA * spare factor, next standard size up",
            "Standard sizes: 10 CFR 431.196(a); spare factor: rule of thumb",
            f"{ELECTRICITY} {CODE}",
        ),
    ),
    "service": (
        "service rating",
        "A",
        Grounds(
            "peak factor * peak + other new loads + load kVA * 1000 / (V * sqrt 3), V alone with "
            "one phase; without a measured peak: sum of connected kVA * demand factor / diversity",
            "NEC 220.87; the peak must be a real twelve-month record, loads added up are a guess",
            f"{ELECTRICITY} {CODE}",
        ),
    ),
    "compressor": (
        "average air",
        "L/min",
        Grounds(
            "present demand + added demand * (1 + leakage)",
            "Sum of average flows: Compressed Air and Gas Handbook, chapter 4, Table 4.4",
            f"The nameplate's air demand decides; sources differ three to fivefold. {VESSEL}",
        ),
    ),
    "receiver": (
        "receiver volume",
        "L",
        Grounds(
            "t * (peak - spare delivery) * Pa / (load pressure - least pressure)",
            "Ride-through formula; unit tests of Oak Ridge National Laboratory's AMO-Tools-Suite",
            VESSEL,
        ),
    ),
    "floor": (
        "mean floor load",
        "kg/m2",
        Grounds("(machine + load + options) / footprint", "Mass over area", SLAB),
    ),
    "area": (
        "floor with service space",
        "m2",
        Grounds(
            "(length + service) * (width + service) + options",
            "Installation drawing",
            "Keep escape ways and the space before electric panels clear.",
        ),
    ),
}


def _gate_needs(case: Case, options: Sequence[Option]) -> Iterator[Need]:
    found = {limit.kind: limit for limit in supply_limits(case)}
    site = case.site or Site()
    for kind, (name, unit, grounds) in LIMITS.items():
        limit = found.get(kind)
        if limit is None:
            if kind != "transformer" or needs_transformer(site) is not False:
                yield _missing_gate(site, kind)
            continue
        total = limit.total(options)
        yield need(
            kind,
            name,
            required=limit_required(case, limit, total),
            available=limit_available(case, limit),
            unit=unit,
            grounds=grounds,
            inputs={
                f"machine {limit.resource}": limit.base,
                f"options {limit.resource}": (
                    fitted := sum(float(getattr(option, limit.resource)) for option in options)
                ),
                f"reserved {limit.resource}": total - limit.base - fitted,
                **_gate_inputs(site, kind),
            },
            tight=site.air.tight_share * _on_hand(site, kind) if kind == "compressor" else math.inf,
        )


def limit_required(case: Case, limit: SupplyLimit, total: float) -> float:
    """What a sum over the options needs, in the unit of the need.

    What stands there counts in both columns: L/min delivered, L stored, m2 free. What is on hand
    need not be a standard size; what is bought is one.
    """
    there = _on_hand(case.site or Site(), limit.kind)
    exact = max(0.0, limit.rating.exact(total) + there)
    if limit.rating.sizes and exact > limit.have + there + 1e-9:
        return limit.rating.bought(total)
    return exact


def limit_available(case: Case, limit: SupplyLimit) -> float:
    """What is there for a limit, in the unit of the need."""
    return limit.have + _on_hand(case.site or Site(), limit.kind)


def _on_hand(site: Site, kind: SupplyKind) -> float:
    shop = site.shop
    if kind == "compressor":
        return sum(compressor.delivery_l_min for compressor in site.air.compressor)
    if kind == "receiver":
        return site.air.receivers_l or 0.0
    if kind == "area":
        return (shop.free_length_m or 0.0) * (shop.free_width_m or 0.0)
    return 0.0


def _gate_inputs(site: Site, kind: SupplyKind) -> Inputs:
    """Figures that a limit of this kind needs beyond the options; none where missing."""
    needs, shop = site.needs, site.shop
    sides: Inputs = {"length m": needs.length_m, "width m": needs.width_m}
    if kind == "transformer":
        return _power_inputs(site) | {"rated V": needs.voltage_v}
    if kind == "service":
        return _power_inputs(site) | {"service A": shop.service_a, "peak A": peak_amps(site)}
    if kind == "compressor":
        return {"present L/min": site.air.present_l_min, "machine L/min": needs.air_l_min}
    if kind == "receiver":
        return _receiver_inputs(site)
    if kind == "floor":
        masses = {"mass kg": needs.mass_kg, "load kg": needs.load_kg}
        return {**sides, **masses, "limit kg/m2": shop.floor_limit_kg_m2}
    service = None if needs.service_m is None else sum(needs.service_m)
    free = {"free length m": shop.free_length_m, "free width m": shop.free_width_m}
    return {**sides, "service m": service, **free}


def _power_inputs(site: Site) -> dict[str, float | str | None]:
    return {"full load kVA": site.needs.full_load_kva, "supply V": site.shop.supply_v}


def _receiver_inputs(site: Site) -> Inputs:
    return {
        "peak L/min": site.needs.air_peak_l_min,
        "peak s": site.needs.air_peak_s,
        "drop bar": pressure_drop(site),
        "present L/min": site.air.present_l_min,
        "receivers L": site.air.receivers_l,
    }


def _missing_gate(site: Site, kind: SupplyKind) -> Need:
    name, unit, grounds = LIMITS[kind]
    inputs = dict(_gate_inputs(site, kind))
    if kind in {"compressor", "receiver"} and not site.air.compressor:
        inputs["compressors"] = None
    return need(
        kind, name, required=None, available=None, unit=unit, grounds=grounds, inputs=inputs
    )


def _compressor_needs(site: Site, options: Sequence[Option]) -> Iterator[Need]:
    yield from _line_needs(site, options)
    for compressor in site.air.compressor:
        cycles = compressor_cycles(site, options, compressor.id)
        yield need(
            f"cycles-{compressor.id}",
            f"load cycles of {compressor.id}",
            required=cycles,
            available=allowed_cycles(compressor),
            unit="1/h",
            grounds=Grounds(
                "60 / (V * band / (Pa * Q * x * (1 - x)))",
                "Cycle method; allowable starts: NEMA MG 10 Table 2-3 (motors started each cycle)",
                f"The motor's maker decides how often it may start. {VESSEL}",
            ),
            inputs={
                "delivery L/min": compressor.delivery_l_min,
                "load bar": compressor.load_bar,
                "unload bar": compressor.unload_bar,
                "receivers L": site.air.receivers_l,
                "demand L/min": air_drawn_l_min(site, options),
                "allowed 1/h, or its motor kW and poles": allowed_cycles(compressor),
            },
        )


def _line_needs(site: Site, options: Sequence[Option]) -> Iterator[Need]:
    """Pressure at the machine, and what is lost of it in the line."""
    loads, lost = load_bar(site), line_loss_bar(site, options)
    yield need(
        "air-pressure",
        "pressure at the machine",
        required=site.needs.air_bar,
        available=None if loads is None else loads - (lost or 0.0),
        unit="bar",
        grounds=Grounds(
            "least pressure of the machine against the pressure at which the compressor loads, "
            "less what the line loses where that is known",
            "Nameplates",
            f"Filters and fittings lose pressure on the way. {VESSEL}",
        ),
        inputs={"machine bar": site.needs.air_bar, "load bar": loads},
    )
    yield need(
        "air-line",
        "pressure lost in the air line",
        required=lost,
        available=site.air.line_drop_bar,
        unit="bar",
        grounds=Grounds(
            "450 * q^1.85 * L / (d^5 * p)",
            "As printed at mgkscotland.co.uk, in other units; 0.1 bar to the farthest point: "
            f"caetool.com, {RULE_OF_THUMB}",
            VESSEL,
        ),
        inputs={
            "flow L/min": line_flow_l_min(site, options),
            "load bar": loads,
            "length of the line m": site.air.line_m,
            "bore of the line mm": site.air.line_mm,
        },
    )
