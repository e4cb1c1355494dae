"""How a need is written down: numbers, status, grounds, cautions."""

import math
from collections.abc import Mapping
from typing import NamedTuple

from optioneer.study.needs.answers import Need, Status

Inputs = Mapping[str, float | str | None]

ELECTRICITY = "Electricity kills: only a licensed electrician may size or connect."
CODE = "Figures follow the US code; the local code may differ."
VESSEL = "A receiver is a pressure vessel: its valve, papers and inspection are the law's business."
SLAB = "Never set feet over a joint, crack or void; have a structural engineer check the slab."
WAY = "The rigger measures the way, its turns and its floor, and plans the lift in writing."


class Grounds(NamedTuple):
    """Where a result comes from and what to mind."""

    formula: str
    source: str
    caution: str


def need(
    key: str,
    name: str,
    *,
    required: float | None,
    available: float | None,
    unit: str,
    grounds: Grounds,
    inputs: Inputs,
    tight: float = math.inf,
) -> Need:
    """One need; `tight` is the required amount from which it is tight."""
    margin = None if required is None or available is None else available - required
    return Need(
        id=key,
        name=name,
        required=required,
        available=available,
        short=None if margin is None else max(0.0, -margin),
        unit=unit,
        status=_status(margin, required, tight),
        margin=margin,
        formula=grounds.formula,
        source=grounds.source,
        inputs=dict(inputs),
        caution=grounds.caution,
    )


def _status(margin: float | None, required: float | None, tight: float) -> Status:
    if margin is None or required is None:
        return "missing"
    if margin < -1e-9:  # noqa: PLR2004 - rounding of a sum
        return "short"
    return "tight" if required > tight else "ok"
