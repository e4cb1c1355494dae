"""Whether buying pays at all, and which margins or how much ordinary work would just make it."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from optioneer.arrays import Bools, Floats, Indices
from optioneer.model.fact import triangular
from optioneer.model.growth import Stream
from optioneer.study.advice.answers import OrdinaryWork, Pays
from optioneer.study.advice.package import FreshLook
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.hours import Attendance
from optioneer.valuation.shared_hours.hour_prices import Members, members_of
from optioneer.valuation.shared_hours.shop import Taken, earned_in, held_steps
from optioneer.valuation.timing.journey import trails_of

CENT = 0.01
"""Smaller differences are none [money]."""

ENOUGH = 128
"""Futures on which ordinary work is mixed anew, spread over all there are."""

MOST, WITHIN = 10.0, 1e-3
"""So many times the ordinary work, or its margin, is looked at, and how closely."""

WEEKS = 52
"""A year, those without work included."""


def pays_of(shown: FreshLook) -> Pays:
    """Whether buying pays at all, and at which margins or with how much work it just would."""
    there, gain = shown.elsewhere, shown.outcome - shown.elsewhere.not_buying
    lost = sum((j.lost.mean() for j in shown.journeys), start=there.lost_anyway.mean())
    earned = float(there.margin.mean() - lost - there.not_buying.mean())
    paid = float(shown.cost.mean() - lost)
    return Pays(
        gain=float(gain.mean()),
        gain_se=standard_error(gain),
        worse_share=float((gain < -CENT / 2).mean()),
        at_margins=max(paid / earned, 0.0) if earned > CENT else None,
        ordinary=_ordinary_work(shown, float(gain.mean())),
    )


def is_ordinary(stream: Stream) -> bool:
    """Whether work is there from first chips on and is done by the machine as it stands."""
    certain = triangular(stream.chance).low == 1.0
    return certain and stream.years.high == 0.0 and _hours_as_it_stands(stream) > 0.0


def _hours_as_it_stands(stream: Stream) -> float:
    bare = [stream.hours_of(way) for way in stream.way if not way.options]
    return min(bare, default=0.0)


def _ordinary_work(shown: FreshLook, gain: float) -> OrdinaryWork | None:
    """How much ordinary work would just pay; none where the case tells no hours of it."""
    found = shown.elsewhere
    attendance = found.problem.attendance
    members = members_of([cost.lattice for cost in found.costs])
    own = [k for k, one in enumerate(found.case.growth.stream) if is_ordinary(one)]
    if attendance is None or not set(own) or not set(own) <= set(members.shop.outline.streams):
        return None
    mixed = _Ordinary(shown, members, attendance, own)
    hours, margin = mixed.hours, mixed.margin
    more = _just(lambda times: gain + mixed.gain_from_buying(times, 1.0))
    dearer = _just(lambda times: gain + mixed.gain_from_buying(1.0, times))
    return OrdinaryWork(
        hours_a_week=hours / WEEKS,
        at_hours_a_week=None if more is None else more * hours / WEEKS,
        margin_an_hour=margin / hours,
        at_margin_an_hour=None if dearer is None else dearer * margin / hours,
    )


def _just(gain: Callable[[float], float]) -> float | None:
    """How many times so much would just pay; 0 where none has to, none where no multiple does."""
    from scipy.optimize import brentq  # noqa: PLC0415 - takes long, and not every case asks

    if gain(0.0) >= 0.0:
        return 0.0
    return None if gain(MOST) < 0.0 else float(brentq(gain, 0.0, MOST, xtol=WITHIN))


@dataclass(frozen=True)
class _Ordinary:
    """The best mix of work where there is more or less ordinary work, or it earns otherwise.

    Parameters
    ----------
    shown
        The advised package; what is ordered and fitted stays.
    own
        Indices of the streams of ordinary work.
    """

    shown: FreshLook
    members: Members
    attendance: Attendance
    own: list[int]

    @property
    def _streams(self) -> list[Stream]:
        return [self.shown.elsewhere.case.growth.stream[k] for k in self.own]

    @property
    def hours(self) -> float:
        """Hours a year that ordinary work takes as the machine stands."""
        return sum(_hours_as_it_stands(stream) for stream in self._streams)

    @property
    def margin(self) -> float:
        """Mean margin a year of it, before tax [money]."""
        return sum(stream.margin.mean for stream in self._streams)

    @property
    def _step(self) -> int:
        return max(self.shown.elsewhere.world.valued.count // ENOUGH, 1)

    @cached_property
    def _sets(self) -> Indices:
        """Sets of ways owned at each moment, shape (K, T x n)."""
        costs, journeys = self.shown.elsewhere.costs, self.shown.journeys
        owned = [
            one.along(trails_of(costs[i].lattice, journeys[i]))[:, :, :: self._step]
            for i, one in self.members.each.items()
        ]
        return np.concatenate(owned).reshape(len(self._rows), -1)

    @cached_property
    def _margins(self) -> Floats:
        """Margin a year of the streams that take hours, shape (K, T x n) [money]."""
        world, shop = self.shown.elsewhere.world, self.members.shop
        margins = shop.margins(world.view(shop.outline, world.valued.every(self._step)))
        return margins.reshape(len(margins), -1)

    @cached_property
    def _steps(self) -> Taken:
        return held_steps(self.members.shop.sets, self._sets)

    @cached_property
    def _shares(self) -> Floats:
        """Share of each margin that is earned without an hour, less what is kept anyway."""
        streams = self.shown.elsewhere.case.growth.stream
        fallback = [streams[k].fallback for k in self.members.shop.outline.streams]
        return np.asarray(self.members.shop.sets.base[self._sets] - np.array(fallback)[:, None])

    @cached_property
    def _rows(self) -> Bools:
        """Which of these streams are ordinary work, shape (K,)."""
        return np.isin(self.members.shop.outline.streams, self.own)

    def gain_from_buying(self, hours: float, margin: float) -> float:
        """What buying gains with so many times the work, at so many times its margin [money]."""
        return self._gain(hours, margin) - self._gain_in_case

    @cached_property
    def _gain_in_case(self) -> float:
        return self._gain(1.0, 1.0)

    def _gain(self, hours: float, margin: float) -> float:
        """Earned by work that takes hours, less what ordinary work would earn anyway."""
        timeline, steps = self.shown.elsewhere.world.timeline, self._steps
        more = np.where(self._rows, hours, 1.0)[:, None]
        each = np.where(self._rows, margin, 1.0)[:, None] * self._margins
        taken = Taken(steps.row, steps.slope, steps.hours * more[steps.row])
        earned = earned_in(taken, each, self.attendance)
        earned += (self._shares * more * each).sum(axis=0)
        worth = timeline.during * timeline.dt
        return float((worth @ earned.reshape(len(worth), -1)).mean())
