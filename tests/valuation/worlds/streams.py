"""Growth scenarios and clocks for tests of draws."""

from typing import Any

import numpy as np

from optioneer.arrays import Floats
from optioneer.valuation.worlds.futures import Futures, drawn_futures
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.timeline import Timeline


def clock(years: float, a_year: int, *, rate: float = 0.1, lead: float = 0.5) -> Timeline:
    """The clock of a horizon of some years."""
    return Timeline(lead=lead, periods=round(years * a_year), periods_per_year=a_year, rate=rate)


def growth_of(
    *,
    chance: Any = 1.0,
    years: Floats,
    margin: Floats | None = None,
    grows: float = 0.0,
    swing: float = 0.0,
    lasts: int = 10**6,
    loadings: Floats | None = None,
    nudge: Floats | None = None,
) -> Growth:
    """As many like streams as there are chances, each with margin 1 a year unless told."""
    chances = np.atleast_1d(np.asarray(chance, dtype=float))
    count = len(chances)
    weights = np.zeros((count, 0)) if loadings is None else loadings
    return Growth(
        keys=tuple(f"work-{k}" for k in range(count)),
        chance=chances,
        years=np.tile(years, (count, 1)),
        margin=np.tile(np.ones(3) if margin is None else margin, (count, 1)),
        growth=np.full(count, grows),
        swing=np.full(count, swing),
        life=np.full(count, lasts, dtype=np.int32),
        loadings=weights,
        nudge=np.zeros(weights.shape[1]) if nudge is None else nudge,
    )


def drawn(
    growth: Growth,
    timeline: Timeline | None = None,
    *,
    options: tuple[str, ...] = (),
    count: int = 16384,
) -> Futures:
    """Futures drawn with one fixed seed."""
    timeline = clock(6.0, 4) if timeline is None else timeline
    return drawn_futures(growth, timeline, options=options, count=count, seed=7, use=0)
