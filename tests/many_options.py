"""A generated catalogue whose slots all hang together. All figures are invented.

Streams take turns through the options, each with one that the next one needs too, so that they are
a single cluster; rules, bundles, easings and call-outs are scattered over it.
"""

import random
from collections.abc import Sequence
from typing import Any

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Driver, Stream, Way
from optioneer.model.machine import Bundle
from tests.oracle.cases import between, case_of, option

SLOT_SIZES = (1, 1, 1, 1, 1, 1, 1, 1, 2, 3)
"""Options in a slot, in turn."""

FACTORY_ONLY = 0.35
"""Share of options that cannot be fitted later."""


def many_options(options: int = 60, streams: int = 25, *, seed: int = 1, **growth: Any) -> Case:
    """A case with so many options and streams in one cluster."""
    rng = random.Random(seed)  # noqa: S311 - invented figures, not secrets
    names = [f"item-{i:02}" for i in range(options)]
    slots = _slots(names)
    made = [_option(rng, name, slots[name]) for name in names]
    work = [_stream(rng, k, _in_turn(names, streams, k)) for k in range(streams)]
    settings = {
        "horizon_years": 10.0,
        "periods_per_year": 4,
        "discount_rate": 0.09,
        "retrofit_inflation": 0.03,
        "driver": (Driver(id="automation"), Driver(id="tolerance")),
    }
    return case_of(
        _with_rules(rng, made, slots),
        work,
        growth=settings | growth,
        call_outs={"default": 1.8e3, "spindle-team": 4.2e3},
        bundles=_bundles(names),
        lead=0.6,
        base_price=300e3,
        margin_per_day=1.4e3,
    )


def _slots(names: Sequence[str]) -> dict[str, str]:
    """Slot of each option."""
    found: dict[str, str] = {}
    place = 0
    left = list(names)
    while left:
        size = SLOT_SIZES[place % len(SLOT_SIZES)]
        taken, left = left[:size], left[size:]
        found |= dict.fromkeys(taken, f"slot-{place:02}")
        place += 1
    return found


def _spread(rng: random.Random, likely: float) -> Triangular:
    return between(
        round(likely * rng.uniform(0.6, 0.9), 2), likely, round(likely * rng.uniform(1.2, 2.0), 2)
    )


def _option(rng: random.Random, name: str, slot: str) -> Option:
    facts: dict[str, Any] = {
        "slot": slot,
        "call_out": rng.choice(["default", "default", "default", "spindle-team", None]),
        "downtime_days": rng.choice([0.0, 1.0, 2.0, 4.0]),
        "upkeep_per_year": rng.choice([0.0, 0.0, 150.0, 400.0]),
        "resale_share": rng.choice([0.0, 0.1, 0.2]),
    }
    price = round(rng.uniform(2e3, 25e3), -2)
    if rng.random() < FACTORY_ONLY:
        return option(name, price, **facts)
    likely = round(rng.uniform(1.3, 3.5), 2)
    made = option(name, price, likely, **facts)
    return made.model_copy(update={"multiplier": _spread(rng, likely)})


def _in_turn(names: Sequence[str], streams: int, k: int) -> list[str]:
    """Options that a stream may need; the last of them is the first of the next stream."""
    step = -(-len(names) // streams)
    first = k * len(names) // streams
    return [names[(first + i) % len(names)] for i in range(step + 1)]


def _stream(rng: random.Random, k: int, near: list[str]) -> Stream:
    ends = (near[0], near[-1]) if rng.random() < 0.5 else (near[0],)
    ways = [Way(options=ends), Way(options=(near[-1],), share=round(rng.uniform(0.4, 0.8), 2))]
    ways += [Way(options=tuple(near[1:-1]), share=round(rng.uniform(0.5, 0.95), 2))]
    margin = round(rng.uniform(2e3, 14e3), -2)
    return Stream(
        id=f"work-{k:02}",
        chance=round(rng.uniform(0.15, 0.9), 2),
        years=between(round(rng.uniform(0.2, 1.5), 2), 2.5, round(rng.uniform(4.0, 8.0), 2)),
        margin=_spread(rng, margin),
        fallback=rng.choice([0.0, 0.1, 0.3]),
        growth=rng.choice([0.0, 0.02]),
        lasts_years=rng.choice([None, 4.0, 6.0]),
        drivers=rng.choice([{}, {"automation": 0.6}, {"automation": 0.4, "tolerance": 0.4}]),
        way=tuple(way for way in ways if way.options),
    )


def _with_rules(rng: random.Random, options: list[Option], slots: dict[str, str]) -> list[Option]:
    """The same options, some with a rule or an easing that points to an earlier one."""
    found = list(options)
    for i in range(7, len(found), 8):
        one, other = found[i], found[i - rng.randrange(1, 6)]
        if slots[one.option] == slots[other.option]:
            continue
        kind = rng.choice(["requires", "excludes", "eased"])
        facts: dict[str, Any] = {kind: (other.option,)}
        if kind == "eased":
            if not one.retrofittable or one.multiplier is None:
                continue
            facts = {"eased_by": other.option, "eased": between(1.0, 1.1, 1.3)}
        found[i] = one.model_copy(update=facts)
    return found


def _bundles(names: Sequence[str]) -> list[Bundle]:
    return [
        Bundle(id=f"bundle-{i}", options=(names[i], names[i + 3]), discount=900.0)
        for i in range(4, len(names) - 3, 15)
    ]
