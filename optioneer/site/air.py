"""Compressed-air sums: demand, receivers, load cycles, leakage, energy.

A receiver is a pressure vessel: its inspection and its relief valve are the law's business and a
competent person's. Flows are free air [L/min], pressures are gauge [bar] unless said otherwise.
"""

import math

ATMOSPHERE_BAR = 1.01325
"""Standard atmosphere [bar]; less at altitude."""

STARTS_PER_HOUR = {
    2: (8.1, 7.0, 6.2, 5.4, 4.8, 4.4, 4.1, 3.7, 3.4),
    4: (16.3, 13.9, 12.5, 10.7, 9.6, 8.8, 8.2, 7.4, 6.8),
    6: (18.4, 15.8, 14.2, 12.1, 10.9, 10.0, 9.3, 8.4, 7.7),
}
"""Allowable motor starts an hour by poles: NEMA MG 10 Table 2-3, column A."""

STARTS_HP = (5.0, 7.5, 10, 15, 20, 25, 30, 40, 50)
"""Columns of `STARTS_PER_HOUR` [hp]."""


def drawn_l_min(present_l_min: float, added_l_min: float, *, leak_share: float) -> float:
    """Average demand once more is added [L/min]: present + added * (1 + leakage).

    References
    ----------
    Compressed Air and Gas Handbook, chapter 4, Table 4.4 (average flows are added up).
    """
    return present_l_min + added_l_min * (1 + leak_share)


def addable_l_min(delivery_l_min: float, present_l_min: float, *, leak_share: float) -> float:
    """What may be added to what is delivered [L/min]: `drawn_l_min` solved for the added flow."""
    return (delivery_l_min - present_l_min) / (1 + leak_share)


def line_drop_bar(
    flow_l_min: float, length_m: float, *, bore_mm: float, absolute_bar: float
) -> float:
    """Pressure lost along a straight line [bar]: 450 * q^1.85 * L / (d^5 * p).

    Parameters
    ----------
    flow_l_min
        Free air that flows, q is it in L/s [L/min].
    length_m
        Length, fittings as the pipe that loses as much [m].
    bore_mm
        Inside diameter, d [mm].
    absolute_bar
        Pressure at its start, p, above vacuum [bar].

    References
    ----------
    Form and constant from memory; the same as dp [kPa] = 1.6e12 * q^1.85 * L / (d^5 * p) with q in
    m3/s and p in kPa, printed at mgkscotland.co.uk; 13 % above that of engineeringtoolbox.com.
    """
    lost: float = 450 * (flow_l_min / 60) ** 1.85 * length_m / (bore_mm**5 * absolute_bar)
    return lost


def receiver_l(
    minutes: float,
    draw_l_min: float,
    *,
    refill_l_min: float = 0.0,
    drop_bar: float,
    atmosphere_bar: float = ATMOSPHERE_BAR,
) -> float:
    """Volume that bridges a draw for some minutes [L]: t * (draw - refill) * Pa / drop.

    Parameters
    ----------
    minutes
        How long [min].
    draw_l_min, refill_l_min
        Free air taken, and delivered meanwhile [L/min].
    drop_bar
        Pressure that may be lost: start less lowest acceptable [bar].
    atmosphere_bar
        Absolute pressure of free air [bar].

    References
    ----------
    The ride-through formula of the Compressed Air Challenge and of the unit tests of the Oak Ridge
    National Laboratory's AMO-Tools-Suite (DedicatedStorage, MeteredStorage).
    """
    return max(0.0, minutes * (draw_l_min - refill_l_min) * atmosphere_bar / drop_bar)


def bridged_l_min(
    minutes: float,
    volume_l: float,
    *,
    refill_l_min: float = 0.0,
    drop_bar: float,
    atmosphere_bar: float = ATMOSPHERE_BAR,
) -> float:
    """The largest draw that a volume bridges [L/min]: `receiver_l` solved for the draw.

    Any draw where it lasts no time.
    """
    if not minutes:
        return math.inf
    return refill_l_min + volume_l * drop_bar / (minutes * atmosphere_bar)


def cycle_minutes(
    volume_l: float,
    delivery_l_min: float,
    *,
    load: float,
    band_bar: float,
    atmosphere_bar: float = ATMOSPHERE_BAR,
) -> float:
    """Length of one load-and-idle cycle [min]: V * band / (Pa * Q * x * (1 - x)).

    Parameters
    ----------
    volume_l
        Stored volume [L].
    delivery_l_min
        What the compressor delivers while loaded, Q [L/min].
    load
        Demand over delivery, x, between 0 and 1; endless at both ends.
    band_bar
        Unload less load pressure [bar].
    atmosphere_bar
        Absolute pressure of free air, Pa [bar].
    """
    swing = atmosphere_bar * delivery_l_min * load * (1 - load)
    return volume_l * band_bar / swing if swing > 0 else math.inf


def receiver_for_cycles_l(
    cycles_per_hour: float,
    delivery_l_min: float,
    *,
    band_bar: float,
    atmosphere_bar: float = ATMOSPHERE_BAR,
) -> float:
    """Volume for a wanted number of cycles an hour at half load, the worst there is [L]."""
    minutes = 60 / cycles_per_hour
    return minutes * delivery_l_min * atmosphere_bar * 0.25 / band_bar


def starts_per_hour(horsepower: float, poles: int) -> float | None:
    """Starts an hour the next larger motor of the table allows; none: larger than the table.

    References
    ----------
    NEMA MG 10 Table 2-3, column A, as printed in the EASA electrical handbook.
    """
    rows = zip(STARTS_HP, STARTS_PER_HOUR[poles], strict=True)
    return next((starts for hp, starts in rows if hp >= horsepower), None)


def energy_cost(kilowatts: float, hours: float, *, price_per_kwh: float) -> float:
    """Cost of running at a power [money]: kW * h * price."""
    return kilowatts * hours * price_per_kwh


def part_load_kw(
    full_kw: float, *, load: float, unloaded_share: float, blowdown_min: float, cycle_min: float
) -> float:
    """Mean power of a load-and-idle compressor [kW].

    Parameters
    ----------
    full_kw
        Electrical power while loaded [kW].
    load
        Demand over delivery, between 0 and 1.
    unloaded_share
        Power once fully unloaded, as a share of `full_kw`.
    blowdown_min
        Minutes the power takes to fall, in a straight line, from loaded to unloaded [min].
    cycle_min
        Length of one cycle, `cycle_minutes` [min].

    Notes
    -----
    A larger receiver makes fewer, longer idle spells, so that a smaller part of them is spent
    falling: mean idle share = u + (1 - u) * b / (2 t) for a spell t >= b, and 1 - (1 - u) * t /
    (2 b) for a shorter one. Derived here from the straight line; no source.
    """
    idle = cycle_min * (1 - load) if load < 1 else math.inf
    if blowdown_min == 0 or math.isinf(idle):
        falling = 0.0
    elif idle >= blowdown_min:
        falling = blowdown_min / (2 * idle)
    else:
        falling = 1 - idle / (2 * blowdown_min)
    return full_kw * (load + (1 - load) * (unloaded_share + (1 - unloaded_share) * falling))
