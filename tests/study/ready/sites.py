"""Small cases with a site, made by hand for tests. All figures invented."""

from datetime import date
from typing import Any

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.growth import Growth
from optioneer.model.machine import Dates, Machine
from optioneer.model.site import Site

OPTIONS = (("pump", 8.0, 40.0), ("chiller", 6.0, 0.0), ("loader", 4.0, 120.0), ("light", 0.0, 0.0))
"""Id, kVA, air [L/min]."""


def case(site: dict[str, Any], **dates: Any) -> Case:
    """A machine with four factory-only options on a site."""
    when = {"order": date(2026, 3, 2), "build_weeks": 16.0, "ship_weeks": 6.0} | dates
    return Case(
        name="made-up",
        machine=Machine(
            name="mill", kind="mill", base_price=200000, currency="USD", margin_per_day=1000
        ),
        dates=Dates(**when),
        catalogue=Catalogue(
            options=tuple(
                Option(
                    option=key, name=key, price=1000, fitting="factory-only", kva=kva, air_l_min=air
                )
                for key, kva, air in OPTIONS
            )
        ),
        growth=Growth(horizon_years=5, discount_rate=0.08, futures=64),
        site=Site.model_validate(site),
    )


def certain(**days: float) -> list[dict[str, Any]]:
    """Built-in tasks with certain durations."""
    named = {key.replace("_", "-"): day for key, day in days.items()}
    return [{"id": key, "days": (day, day, day)} for key, day in named.items()]


def transformer(kva: float, price: float, **more: Any) -> dict[str, Any]:
    return {
        "id": f"transformer-{kva:g}".replace(".", "-"),
        "what": f"{kva:g} kVA",
        "kind": "transformer",
        "rating": kva,
        "price": price,
        "lead_days": (42.0, 42.0, 42.0),
        **more,
    }


POWER: dict[str, Any] = {
    "shop": {"supply_v": 480.0},
    "needs": {"voltage_v": 400.0, "full_load_kva": 50.0},
    "supply": [transformer(75, 5000), transformer(112.5, 8000), transformer(150, 12000)],
}
"""A machine of 50 kVA that needs a transformer: 75 kVA carry 60, 112.5 carry 90."""
