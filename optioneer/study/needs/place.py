"""Needs of the place: the run, the panel, the floor under the feet, the way in."""

import math
from collections.abc import Iterator, Sequence

from optioneer.model.catalogue import Option
from optioneer.model.site import Site
from optioneer.site import floor, power
from optioneer.study.needs.answers import Need
from optioneer.study.needs.grounds import CODE, ELECTRICITY, SLAB, WAY, Grounds, Inputs, need
from optioneer.study.needs.loads import least_ampacity, load_kva, load_phases, shop_side_amps

FOOT_M = 0.3048
"""A foot [m]."""


def run_needs(site: Site, options: Sequence[Option]) -> Iterator[Need]:
    """Voltage drop of the run to the machine, and what its conductors must carry."""
    yield _voltage_drop(site, options)
    yield _conductor(site, options)


def _voltage_drop(site: Site, options: Sequence[Option]) -> Need:
    shop = site.shop
    amps = shop_side_amps(site, load_kva(site, options))
    lost: float | None = None
    if None not in {amps, shop.run_m, shop.conductor_mm2, shop.supply_v}:
        volts = power.drop_v(
            float(amps or 0),
            float(shop.run_m or 0),
            float(shop.conductor_mm2 or 1),
            metal=shop.conductor,
            phases=load_phases(site),
        )
        lost = 100 * volts / float(shop.supply_v or 1)
    return need(
        "voltage-drop",
        "voltage drop of the run",
        required=lost,
        available=100 * shop.allowed_drop,
        unit="%",
        grounds=Grounds(
            "sqrt 3 (one phase: 2) * resistivity at 75 C * I * L / area / V",
            "NEC 210.19(A)(1) and 215.2(A)(3), notes: 3 % recommended; resistivity 12.9 (copper) "
            "and 21.2 (aluminium) ohm cmil/ft",
            f"{ELECTRICITY} A small drop does not make a conductor large enough.",
        ),
        inputs={
            "A": amps,
            "run m": shop.run_m,
            "conductor mm2": shop.conductor_mm2,
            "metal": shop.conductor,
            "supply V": shop.supply_v,
        },
    )


def _conductor(site: Site, options: Sequence[Option]) -> Need:
    shop = site.shop
    return need(
        "conductor",
        "current that the run's conductors carry",
        required=least_ampacity(site, options),
        available=shop.conductor_a,
        unit="A",
        grounds=Grounds(
            "(125 % of heating + 125 % of the largest motor + all the rest) * rated V / supply V",
            "NEC 670.4, as told in EC&M, 'NEC rules for industrial machinery', 18 June 2019",
            f"{ELECTRICITY} {CODE} Ampacity is read in the code's tables, by kind and heat.",
        ),
        inputs={
            "full load kVA": site.needs.full_load_kva,
            "largest motor A": site.needs.largest_motor_a,
            "heating A": site.needs.heating_a,
            "rated V": site.needs.voltage_v,
            "supply V": shop.supply_v,
            "conductor A": shop.conductor_a,
        },
    )


def panel_needs(site: Site) -> Iterator[Need]:
    """Clear depth before the panel."""
    shop = site.shop
    feet = None
    if shop.volts_to_ground is not None and shop.panel_opposite is not None:
        feet = power.working_depth_ft(shop.volts_to_ground, shop.panel_opposite)
    yield need(
        "panel-depth",
        "clear depth before the panel",
        required=None if feet is None else feet * FOOT_M,
        available=shop.panel_depth_m,
        unit="m",
        grounds=Grounds(
            "table by voltage to ground and what stands opposite",
            "29 CFR 1910.303(g), Table S-1",
            "The space may not be used for storage; doors must open by 90 degrees.",
        ),
        inputs={
            "V to ground": shop.volts_to_ground,
            "opposite": shop.panel_opposite,
            "depth m": shop.panel_depth_m,
        },
    )


def standing_needs(site: Site, options: Sequence[Option]) -> Iterator[Need]:
    """Feet, ceiling and sides where the machine will stand."""
    needs, shop = site.needs, site.shop
    pressure = None
    if None not in {needs.mass_kg, needs.load_kg, needs.feet, needs.pad_mm}:
        mass = float(needs.mass_kg or 0) + float(needs.load_kg or 0)
        pad = math.pi / 4 * (float(needs.pad_mm or 1) / 1000) ** 2
        mass += sum(option.mass_kg for option in options)
        pressure = floor.foot_pressure_mpa(mass, needs.feet or 1, pad, uneven=needs.uneven_factor)
    yield need(
        "foot-pressure",
        "pressure under the worst foot",
        required=pressure,
        available=needs.foot_limit_mpa,
        unit="MPa",
        grounds=Grounds(
            "mass * g / feet / pad area * uneven factor",
            "Mechanics; uneven factor: rule of thumb",
            SLAB,
        ),
        inputs={
            "mass kg": needs.mass_kg,
            "load kg": needs.load_kg,
            "feet": needs.feet,
            "pad mm": needs.pad_mm,
            "uneven factor": needs.uneven_factor,
            "limit MPa": needs.foot_limit_mpa,
        },
    )
    yield need(
        "ceiling",
        "height once set up",
        required=needs.height_m,
        available=shop.ceiling_m,
        unit="m",
        grounds=Grounds("as stated", "Installation drawing", WAY),
        inputs={"height m": needs.height_m, "ceiling m": shop.ceiling_m},
    )
    yield from _fit_needs(site)


def _fit_needs(site: Site) -> Iterator[Need]:
    """Both sides with service space against the free floor, the long one along the long one."""
    needs, shop = site.needs, site.shop
    sides: Sequence[float | None] = [None, None]
    if needs.length_m is not None and needs.width_m is not None and needs.service_m is not None:
        sides = sorted(floor.with_service_m(needs.length_m, needs.width_m, needs.service_m))
    free: Sequence[float | None] = [None, None]
    if shop.free_length_m is not None and shop.free_width_m is not None:
        free = sorted([shop.free_length_m, shop.free_width_m])
    for key, name, side, there in zip(
        ["short-side", "long-side"], ["short side", "long side"], sides, free, strict=True
    ):
        yield need(
            key,
            f"{name} with service space",
            required=side,
            available=there,
            unit="m",
            grounds=Grounds(
                "side + service space, turned by a right angle if need be",
                "Installation drawing",
                "Keep escape ways and the space before electric panels clear.",
            ),
            inputs={"length m": needs.length_m, "width m": needs.width_m}
            | {"free length m": shop.free_length_m, "free width m": shop.free_width_m},
        )


def way_needs(site: Site) -> Iterator[Need]:
    """Every opening on the way in."""
    needs = site.needs
    wide, high = needs.shipping_width_m, needs.shipping_height_m
    grounds = Grounds(
        "shipping size + margins", "Common practice, no source; margins: rule of thumb", WAY
    )
    for opening in site.opening:
        inputs: Inputs = {"shipping width m": wide, "shipping height m": high}
        yield need(
            f"{opening.id}-width",
            f"width at {opening.id}",
            required=None if wide is None else wide + 2 * needs.way_margin_m,
            available=opening.width_m,
            unit="m",
            grounds=grounds,
            inputs=inputs,
        )
        if opening.height_m is not None:
            yield need(
                f"{opening.id}-height",
                f"height at {opening.id}",
                required=None if high is None else high + needs.way_margin_m + needs.skate_height_m,
                available=opening.height_m,
                unit="m",
                grounds=grounds,
                inputs=inputs,
            )
