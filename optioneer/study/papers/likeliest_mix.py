"""The mix of work in the likeliest future, where hours are limited: stream by stream, by period."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.hours import Attendance
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.shared_hours.hour_prices import members_of
from optioneer.valuation.shared_hours.shop import Taken, held_steps, overpaid
from optioneer.valuation.timing.cluster import World


@dataclass(frozen=True)
class Mix:
    """What is done of the work that takes hours.

    Parameters
    ----------
    earned
        Share of its margin that each stream earns, by index of the stream and period.
    bought
        Hours beyond the attended ones, by period [hours/year].
    overpaid
        What the clusters seem to earn at their price of an hour beyond that, discounted [money].
    """

    earned: dict[int, tuple[float, ...]]
    bought: tuple[float, ...]
    overpaid: float


def likeliest_mix(
    world: World, lattices: Sequence[Lattice], working: Sequence[Sequence[int]]
) -> Mix | None:
    """The best mix in the one future of a world; none where hours are not limited.

    Parameters
    ----------
    world
        The likeliest future.
    working
        State of each cluster in each period.
    """
    members = members_of(lattices)
    if world.attendance is None or not members.each:
        return None
    shop = members.shop
    states = [np.array(working[index])[:, None] for index in members.each]
    held = np.concatenate(
        [one.sets_held(own) for one, own in zip(members.each.values(), states, strict=True)]
    )
    margins = shop.margins(world.view(shop.outline, world.valued))
    base = shop.sets.base[held[:, :, 0]]
    bought, over = np.zeros(base.shape[1]), 0.0
    worth = world.timeline.during * world.timeline.dt
    for t in range(base.shape[1]):
        steps = held_steps(shop.sets, held[:, t])
        hours = _hours_used(steps, margins[:, t], world.attendance)
        bought[t] = max(hours.sum() - world.attendance.hours, 0.0)
        np.add.at(base[:, t], steps.row, steps.slope[:, 0] * hours)
        if world.price is not None:
            apart = overpaid(steps, margins[:, t], world.price[t], world.attendance)
            over += float(worth[t] * apart[0])
    streams = map(int, shop.outline.streams)
    return Mix(
        {k: tuple(map(float, shares)) for k, shares in zip(streams, base, strict=True)},
        tuple(map(float, bought)),
        over,
    )


def _hours_used(steps: Taken, margin: Floats, attendance: Attendance) -> Floats:
    """Hours that each step gets, the one that earns most an hour first, shape (J,)."""
    gain, used = steps.gain(margin)[:, 0], np.zeros(len(steps.row))
    order: Indices = np.argsort(-gain, kind="stable")
    left = attendance.hours
    for step in order:
        wanted = float(steps.hours[step, 0])
        if gain[step] > attendance.beyond:
            used[step] = wanted
        elif gain[step] > 0.0:
            used[step] = min(wanted, max(left, 0.0))
        left -= used[step]
    return used
