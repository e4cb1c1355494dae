"""The road to first chips: dates of every task for one set of supplies, and their risk."""

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

from optioneer.arrays import Bools, Floats
from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.site import Site, Supply
from optioneer.site.calendar import Calendar, CalendarEndError
from optioneer.site.network import (
    Arc,
    CycleError,
    Network,
    backward,
    driving,
    float_days,
    forward,
    in_turn,
    pert_mean,
    pert_quantile,
)
from optioneer.study.ready.calendar import working_days
from optioneer.study.ready.moves import MovePlan, move_plan
from optioneer.study.ready.tasks import steps
from optioneer.valuation.worlds.futures import drawn_shares

BEFORE_DAYS = 1100
"""Days of the calendar before the order, for dates that should already have passed."""

LARGEST_CALENDAR = 40000
"""Days of the calendar, at most."""

FIRST_CHIPS, READY, DELIVERY = "first-chips", "site-ready", "delivery"
ENDS = (FIRST_CHIPS, DELIVERY)


@dataclass(frozen=True)
class RunDates:
    """Starts and finishes as instants, shape (tasks, runs)."""

    starts: Floats
    finishes: Floats


class Road:
    """One set of supplies, laid out in time.

    Parameters
    ----------
    case
        A case with a site.
    shifts
        What if: calendar or working days by which tasks turn out longer, below 0 shorter, by id;
        orders and bookings stay where the plan without shifts puts them.

    Raises
    ------
    RequestError
        Tasks wait for each other, for something unknown, or run past every calendar; a shift
        names no task.
    """

    def __init__(
        self, case: Case, supplies: Sequence[Supply], shifts: Mapping[str, float] | None = None
    ) -> None:
        self.site = case.site or Site()
        self.order_date = case.dates.order
        self.moves: MovePlan = move_plan(self.site)
        self.steps = steps(case, supplies, self.moves)
        self.shifts = dict(shifts or {})
        # What if: orders and bookings went out as planned, and then it turned out otherwise.
        self.plan: Road = Road(case, supplies) if self.shifts else self
        for key in self.shifts.keys() - {step.id for step in self.steps}:
            known = ", ".join(sorted(step.id for step in self.steps))
            raise RequestError(f"There is no task '{key}' to shift. Tasks here: {known}.")

    @cached_property
    def number(self) -> dict[str, int]:
        """Number of each task."""
        return {step.id: number for number, step in enumerate(self.steps)}

    @cached_property
    def _points(self) -> Floats:
        """Three points of each task, shape (3, tasks, 1)."""
        points: Floats = np.array([step.days for step in self.steps], dtype=np.float64)
        moved = [self.shifts.get(step.id, 0.0) for step in self.steps]
        shifted: Floats = np.maximum(points + np.array(moved)[:, None], 0.0)
        return shifted.T[:, :, None]

    @cached_property
    def network(self) -> Network:
        """The tasks with the trades put in turn."""
        return self._turns[0]

    @property
    def order_proven(self) -> bool:
        """Whether no other turn of the trades gives earlier dates."""
        return self._turns[1]

    @cached_property
    def _turns(self) -> tuple[Network, bool]:
        bare = self._bare()
        groups: dict[str, list[int]] = {}
        for number, step in enumerate(self.steps):
            for trade in dict.fromkeys(step.trades):  # who is there twice waits for nobody
                groups.setdefault(trade, []).append(number)
        ends = [self.number[FIRST_CHIPS], self.number[READY]]
        with _days_enough("the tasks"):
            arcs, proven = in_turn(bare, self.planned_days, groups=[*groups.values()], ends=ends)
        return bare.also(arcs), proven

    def _bare(self) -> Network:
        releases = [step.release or self.order_date for step in self.steps]
        network = Network(
            elapsed=tuple(step.elapsed for step in self.steps),
            arcs=tuple(
                Arc(self.number[earlier], number)
                for number, step in enumerate(self.steps)
                for earlier in step.after
            ),
            release=tuple(self.instant(max(day, self.order_date)) for day in releases),
            calendar=Calendar(working_days(self.site.calendar, self._first, self._length)),
        )
        try:
            _ = network.order
        except CycleError as error:
            ring = ", ".join(self.steps[number].id for number in error.ring)
            raise RequestError(
                f"site.toml, task: tasks wait for each other in a ring: {ring}."
            ) from None
        return network

    @cached_property
    def _first(self) -> date:
        return self.order_date - timedelta(days=BEFORE_DAYS)

    @cached_property
    def _length(self) -> int:
        """Days of the calendar: enough for all tasks one after the other at a day a week."""
        releases = [step.release for step in self.steps if step.release is not None]
        last = max([self.order_date, *releases])
        work = 7.5 * float(self._points[2].sum())
        length = BEFORE_DAYS + (last - self.order_date).days + work + BEFORE_DAYS
        if length > LARGEST_CALENDAR:
            raise RequestError(self._too_long(float(self._points[2].max())))
        return int(length)

    def _too_long(self, days: float) -> str:
        longest = self.steps[int(self._points[2, :, 0].argmax())].id
        return (
            f"site.toml: the tasks take more than a working life together; the longest is "
            f"'{longest}' with {days:,.0f} days. Write shorter durations or leads."
        )

    @cached_property
    def planned_days(self) -> Floats:
        """Mean durations, shape (tasks, 1)."""
        low, likely, high = self._points
        return pert_mean(low, likely, high)

    def instant(self, day: date) -> float:
        """Morning of a date."""
        return float((day - self._first).days)

    def start_date(self, number: int, instant: float) -> date:
        """Day on which a task starts."""
        step = self.steps[number]
        if not step.elapsed and not self._points[2, number, 0]:
            return self.finish_date(number, instant)
        return self._first + timedelta(days=int(np.floor(instant + 1e-6)))

    def finish_date(self, number: int, instant: float) -> date:
        """Last day worked, or the day on which something arrives."""
        return self._first + timedelta(days=int(self.finish_days(number, np.array(instant))))

    def finish_days(self, number: int, instants: Floats) -> NDArray[np.int64]:
        """`finish_date` as days of the calendar."""
        elapsed = self.steps[number].elapsed
        days = np.floor(instants + 1e-6) if elapsed else np.ceil(instants - 1e-6) - 1
        whole: NDArray[np.int64] = days.astype(np.int64)
        return whole

    def first_chips_days(self, finishes: Floats) -> NDArray[np.int64]:
        """Day of first chips: the last day worked for it, never before the machine is there."""
        last, there = (self.finish_days(n, finishes[n]) for n in map(self.number.__getitem__, ENDS))
        days: NDArray[np.int64] = np.maximum(last, there)
        return days

    @cached_property
    def planned_first_chips(self) -> date:
        """First chips by the plan."""
        days = int(self.first_chips_days(self.planned.finishes)[0])
        return self._first + timedelta(days=days)

    @cached_property
    def early(self) -> RunDates:
        """Earliest dates with planned (mean) durations."""
        return RunDates(*forward(self.network, self.planned_days))

    @cached_property
    def late(self) -> RunDates:
        """Latest dates that keep first chips, the machine's arrival and every deadline."""
        finishes = self.early.finishes
        arrival = float(finishes[self.number[DELIVERY], 0])
        latest = np.full(finishes.shape, np.inf)
        for number, step in enumerate(self.steps):
            limits = [] if step.deadline is None else [self.instant(step.deadline) + 1]
            if step.lead_days is not None:
                limits.append(arrival - step.lead_days)
            latest[number] = min(limits, default=np.inf)
        latest[self.number[READY]] = arrival
        loose = [n for n in range(len(self.steps)) if not self.network.out_of[n]]
        end = finishes[self.number[FIRST_CHIPS]]
        latest[loose] = np.minimum(latest[loose], end)
        with _days_enough("what must be done before the machine comes"):
            return RunDates(*backward(self.network, self.planned_days, latest))

    @cached_property
    def floats(self) -> Floats:
        """Float of each task [working days]."""
        return float_days(self.network, self.early.starts, self.late.starts)[:, 0]

    @cached_property
    def critical(self) -> Bools:
        """Whether the task has no float against first chips: a day's delay of it delays them."""
        dates = (self.early.starts, self.early.finishes)
        return driving(self.network, self.planned_days, dates, self.number[FIRST_CHIPS])[:, 0]

    @cached_property
    def booked(self) -> Network:
        """The network as it will be run: nothing is ordered or booked earlier than planned."""
        ahead = self.site.plan.order_early_days
        if ahead is None:
            return self.network
        wanted = self.plan.late.starts[:, 0] - ahead
        release = tuple(
            max(first, float(want)) if step.supply is not None or step.trades else first
            for first, want, step in zip(self.network.release, wanted, self.steps, strict=True)
        )
        return Network(self.network.elapsed, self.network.arcs, release, self.network.calendar)

    @cached_property
    def planned(self) -> RunDates:
        """Dates of the plan, with planned durations."""
        return RunDates(*forward(self.booked, self.planned_days))

    def planned_finish(self, key: str) -> date:
        """Planned finish of a task."""
        number = self.number[key]
        return self.finish_date(number, float(self.planned.finishes[number, 0]))

    @cached_property
    def runs(self) -> "Runs":
        """The simulated runs."""
        drawing = len(self.steps), self.site.plan.runs, self.site.plan.seed
        points = map(tuple, self._points[:, :, 0].T.tolist())
        days = np.array([_drawn_days(drawing, n, three) for n, three in enumerate(points)])
        with _days_enough("the slowest runs"):
            return Runs(self, days, RunDates(*forward(self.booked, days)))


_Drawing = tuple[int, int, int]
"""Tasks, runs and seed."""


@lru_cache(maxsize=256)  # what if, and another package: most tasks take what they took before
def _drawn_days(drawing: _Drawing, number: int, points: tuple[float, ...]) -> Floats:
    """Durations of one task in the simulated runs, from its three points [days]."""
    low, likely, high = np.array(points)
    return pert_quantile(_shares(drawing)[number], low, likely, high)


@lru_cache(maxsize=2)
def _shares(drawing: _Drawing) -> Floats:
    tasks, runs, seed = drawing
    return drawn_shares(tasks, runs, seed=seed)


@contextmanager
def _days_enough(tasks: str) -> Iterator[None]:
    """Say what of the site's file leaves no room for so many days."""
    try:
        yield
    except CalendarEndError:
        raise RequestError(
            f"site.toml, calendar: too few working days for {tasks}; check weekdays, shutdowns, "
            "durations and the crew's hours a day."
        ) from None


@dataclass(frozen=True)
class Runs:
    """Simulated dates of a road.

    Parameters
    ----------
    days
        Drawn durations, shape (tasks, runs).
    """

    road: Road
    days: Floats
    dates: RunDates

    @cached_property
    def in_time(self) -> Bools:
        """Runs in which the site is ready when the machine arrives."""
        finishes, number = self.dates.finishes, self.road.number
        return np.asarray(finishes[number[READY]] <= finishes[number[DELIVERY]] + 1e-6)

    @cached_property
    def first_chips_days(self) -> NDArray[np.int64]:
        """First chips as days of the calendar."""
        return self.road.first_chips_days(self.dates.finishes)

    def first_chips_by(self, share: float) -> date:
        """Date by which a share of the runs has first chips."""
        days = np.quantile(self.first_chips_days, share, method="inverted_cdf")
        return self.road.order_date + timedelta(days=int(days) - BEFORE_DAYS)

    def causes(self) -> dict[str, float]:
        """Per task, the share of the late runs in which it delays the site."""
        late = ~self.in_time
        if not late.any():
            return {}
        dates = (self.dates.starts[:, late], self.dates.finishes[:, late])
        ready = self.road.number[READY]
        drives = driving(self.road.booked, self.days[:, late], dates, ready).mean(axis=1)
        return {
            step.id: float(share)
            for step, share in zip(self.road.steps, drives, strict=True)
            if share > 0 and max(step.days) > 0
        }

    def mean_delay_days(self) -> float:
        """Mean working days by which first chips come after the plan without shifts."""
        number = self.road.number[FIRST_CHIPS]
        work = self.road.network.calendar.work_before
        planned = work(self.road.plan.planned.finishes[number])
        return float(np.maximum(work(self.dates.finishes[number]) - planned, 0.0).mean())
