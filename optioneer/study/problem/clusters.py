"""Slots that hang together, and what the levels of each cluster cost and bring."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property, lru_cache
from graphlib import CycleError, TopologicalSorter

import numpy as np

from optioneer.arrays import Floats
from optioneer.errors import TooLargeError
from optioneer.model.case import Case
from optioneer.model.catalogue import Option, Slot
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.model.growth import Way as Doing
from optioneer.study.cash.financing import income_tax_rate
from optioneer.study.problem.related import (
    VisitKey,
    calls_apart,
    package_count,
    related,
    visit_groups,
)
from optioneer.valuation.cache.content import content_name
from optioneer.valuation.hours import Attendance
from optioneer.valuation.large.short_list import short_list
from optioneer.valuation.lattice.lattice import Easing, Lattice, Target
from optioneer.valuation.lattice.levels import Bundle, Terms, Way
from optioneer.valuation.worlds.turns import Turns

SWEPT_A_SECOND = 2**23
"""Packages x futures x periods that are valued in a second, on a machine of two slow cores."""

LARGEST_SWEEP = 2**25
"""Packages x futures of one cluster that are held at once: 256 MiB of float64. The packages of
larger clusters are searched, not enumerated."""

KEPT, MOST_KEPT = 64, 2**10
"""Lattices that are kept, and most packages of one that is."""

LARGEST_TOGETHER = 256
"""Packages up to which all slots with work that takes hours are valued as one. The mix of the work
is then a programme for each of them, which takes longer than shares alone."""


def cluster_lattice(case: Case, cluster: int, *, order_factor: float = 1.0) -> Lattice:
    """The lattice of one cluster of `case`, in the order of `clusters`."""
    return lattice_of(case, clusters(case)[cluster], order_factor)


def cluster_terms(case: Case, cluster: int, *, order_factor: float = 1.0) -> Terms:
    """What the levels of one cluster cost and bring, in the order of `clusters`."""
    return _Cluster(case, clusters(case)[cluster], order_factor).terms


def bounds_of(triangular: Triangular) -> Floats:
    """Low, likely and high, shape (3,)."""
    return np.array([triangular.low, triangular.likely, triangular.high])


def attendance_of(case: Case) -> Attendance | None:
    """Hours in which somebody is there; none where they are not limited."""
    if case.hours is None:
        return None
    beyond = case.hours.beyond
    left = 1.0 - income_tax_rate(case)
    return Attendance(case.hours.attended, np.inf if beyond is None else left * beyond)


def clusters(case: Case) -> tuple[tuple[Slot, ...], ...]:
    """Slots that are valued together.

    Where hours are limited and all slots with work that takes hours make a small lattice they are
    one group; otherwise they stay apart, and work that takes hours and that no option serves is a
    group of no slots.
    """
    apart, whole = related(case), _valued_as_one(case)
    if whole:
        return (whole, *(slots for slots in apart if not case.takes_hours(slots)))
    return (*apart, ()) if case.takes_hours(()) else apart


def _valued_as_one(case: Case) -> tuple[Slot, ...]:
    """All slots that serve work which takes limited hours; none where they are valued apart."""
    tied = {slot.name for slots in related(case) if case.takes_hours(slots) for slot in slots}
    whole = tuple(slot for slot in case.catalogue.slots if slot.name in tied)
    return whole if package_count(whole) <= LARGEST_TOGETHER else ()


def lattice_of(
    case: Case, slots: Sequence[Slot], order_factor: float, seconds: float | None = None
) -> Lattice:
    """The packages of a cluster: all of them, or an empty list where they are too many.

    Parameters
    ----------
    slots
        Of the cluster.
    order_factor
        Present value of paying for the order, per unit of price.
    seconds
        Most that valuing all of them may take; none: as long as it takes [s].
    """
    terms = _Cluster(case, tuple(slots), order_factor).terms
    count = package_count(slots)
    if count > 1 and count * case.growth.futures > most_swept(case, seconds):
        return short_list(terms)
    return terms.lattice if count > MOST_KEPT else _kept_lattice(_Told(terms))


@dataclass(frozen=True)
class _Told:
    """Terms that are equal where all that they hold is."""

    terms: Terms = field(compare=False)
    name: str = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "name", content_name(self.terms))


@lru_cache(maxsize=KEPT)
def _kept_lattice(told: _Told) -> Lattice:
    """Kept with where its retrofits lead, for cases whose growth or paying alone differs."""
    return told.terms.lattice


def most_swept(case: Case, seconds: float | None) -> int:
    """Most packages x futures of a cluster that are all valued.

    Parameters
    ----------
    seconds
        Most that it may take; none: as long as it takes [s].

    Notes
    -----
    Counted, not measured, so that the same request gives the same answer on every machine: what is
    valued in full under a limit of time is the same, however fast the machine.
    """
    if seconds is None:
        return LARGEST_SWEEP
    return min(LARGEST_SWEEP, int(SWEPT_A_SECOND * seconds / case.growth.periods))


def must_be_swept(case: Case, asked: str, seconds: float | None = None) -> None:
    """Refuse what only clusters can have whose packages are all valued.

    Parameters
    ----------
    seconds
        Most that valuing all of them may take; none: as long as it takes [s].

    Raises
    ------
    TooLargeError
        If packages x futures of a cluster exceed `most_swept`.
    """
    most = most_swept(case, seconds)
    within, more = ("", "") if most == LARGEST_SWEEP else (f" within {seconds:g} s", ", more time")
    for slots in clusters(case):
        states = package_count(slots)
        if states * case.growth.futures > most:
            names = ", ".join(slot.name for slot in slots)
            raise TooLargeError(
                f"{asked} needs every package valued. {len(slots)} slots are tied together by "
                "shared work streams, requirements, exclusions, bundles, easing or named "
                f"call-outs and make {states:,} packages; times {case.growth.futures:,} futures "
                f"that is over the limit of {most:,}{within}. Use fewer futures{more} or "
                f"untie some of them: {names}."
            )


def widest(case: Case) -> tuple[Slot, ...]:
    """The slots of the cluster that has the most packages; none in a case without options."""
    return max(clusters(case), key=package_count, default=())


@dataclass(frozen=True)
class _Cluster:
    """One cluster of slots on its way to a lattice."""

    case: Case
    slots: tuple[Slot, ...]
    order_factor: float

    @cached_property
    def left(self) -> float:
        """What income tax leaves of what is earned or lost from day to day."""
        return 1.0 - income_tax_rate(self.case)

    @cached_property
    def fitted(self) -> tuple[tuple[str | None, ...], ...]:
        """Options by level by slot; the first level is none where the slot may be empty."""
        return tuple(
            (*([None] if slot.may_be_empty else []), *(option.option for option in slot.options))
            for slot in self.slots
        )

    @cached_property
    def place(self) -> dict[str, tuple[int, int]]:
        """Slot and level of each option."""
        return {
            option: (axis, level)
            for axis, levels in enumerate(self.fitted)
            for level, option in enumerate(levels)
            if option is not None
        }

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """Options of the cluster."""
        return tuple(option for slot in self.slots for option in slot.options)

    @property
    def terms(self) -> Terms:
        """What the levels of the cluster cost and bring."""
        index = {option: i for i, option in enumerate(sorted(self.case.catalogue.by_id))}
        streams = self._streams()
        facts = [self.case.growth.stream[k] for k in streams]
        own = {option.option for option in self.options}
        return Terms(
            names=tuple(slot.name for slot in self.slots),
            fitted=tuple(
                tuple(-1 if option is None else index[option] for option in levels)
                for levels in self.fitted
            ),
            price=self._prices(),
            upkeep=self._amounts(lambda option: self.left * option.upkeep_per_year),
            resale=self._amounts(lambda option: self.left * option.resale_share * option.price),
            resale_share=self._amounts(lambda option: option.resale_share),
            requires=tuple((index[o.option], index[n]) for o in self.options for n in o.requires),
            excludes=tuple((index[o.option], index[n]) for o in self.options for n in o.excludes),
            bundles=tuple(
                Bundle(tuple(index[o] for o in bundle.options), bundle.discount)
                for bundle in self.case.bundles
                if bundle.options[0] in own
            ),
            order_factor=self.order_factor,
            streams=np.array(streams, dtype=np.intp),
            fallback=tuple(stream.fallback for stream in facts),
            ways=tuple(
                tuple(self._way(index, stream, way) for way in stream.way) for stream in facts
            ),
            targets=tuple(self._targets(index)),
            visits=tuple(self.case.call_outs[name] for _, name in self._visits),
            turns=self._turns(),
            shared=frozenset(i for i, (_, name) in enumerate(self._visits) if name == "default"),
            barred=self._barred(),
        )

    def _barred(self) -> frozenset[tuple[int, int]]:
        """Slot and level of the rivals of options that are wanted whatever they cost."""
        return frozenset(
            (axis, level)
            for axis, slot in enumerate(self.slots)
            for level, option in enumerate(self.fitted[axis])
            if slot.must is not None and option != slot.must.option
        )

    def _way(self, index: Mapping[str, int], stream: Stream, way: Doing) -> Way:
        """A way; without a limit on hours none are counted."""
        hours = stream.hours_of(way) if self.case.hours is not None else 0.0
        return Way(tuple(index[o] for o in way.options), way.share, hours)

    def _amounts(self, amount: Callable[[Option], float]) -> tuple[tuple[float, ...], ...]:
        """`amount` of each level of each slot, 0 where it is empty."""
        known = self.case.catalogue.by_id
        return tuple(
            tuple(0.0 if option is None else amount(known[option]) for option in levels)
            for levels in self.fitted
        )

    def _prices(self) -> tuple[tuple[float, ...], ...]:
        """Paid for each level of each slot; a standard item left off brings its credit back."""
        prices = self._amounts(lambda option: 0.0 if option.standard else option.price)
        standards = (slot.standard if slot.may_be_empty else None for slot in self.slots)
        credit = (None if item is None else item.delete_credit for item in standards)
        return tuple(
            own if back is None else (own[0] - back, *own[1:])
            for own, back in zip(prices, credit, strict=True)
        )

    def _streams(self) -> list[int]:
        """Indices of the streams with a way among the options of this cluster.

        Work that takes hours and that no option serves belongs where all such work is together.
        """
        others = self.case.takes_hours(()) and self.slots == _valued_as_one(self.case)
        return [
            k
            for k, stream in enumerate(self.case.growth.stream)
            if any(option in self.place for way in stream.way for option in way.options)
            or (others and self.case.counts_hours_of(stream) and not stream.served)
        ]

    @cached_property
    def _calls(self) -> dict[str, VisitKey]:
        """Group of slots and name of the call-out that each option uses when it is retrofitted."""
        groups, own = visit_groups(self.case), {option.option for option in self.options}
        return {o: visit for visit, options in groups.items() for o in options if o in own}

    @cached_property
    def _visits(self) -> tuple[VisitKey, ...]:
        """Call-outs that retrofits in this cluster use, sorted."""
        return tuple(sorted(set(self._calls.values())))

    def _turns(self) -> tuple[Turns | None, ...]:
        """Of each call-out, whose turn it is to pay where other clusters use it too."""
        if not calls_apart(self.case):
            return ()
        groups, parts = visit_groups(self.case), clusters(self.case)
        return tuple(self._turn(parts, visit[1], groups[visit]) for visit in self._visits)

    def _turn(
        self, parts: Sequence[Sequence[Slot]], name: str, options: Sequence[str]
    ) -> Turns | None:
        each = [
            {o.option for slot in part for o in slot.options}.intersection(options)
            for part in parts
        ]
        using = [own for own in each if own]
        if len(using) == 1:
            return None
        streams = tuple(
            tuple(k for k, stream in enumerate(self.case.growth.stream) if stream.uses(own))
            for own in using
        )
        own = {option.option for option in self.options}
        return Turns(name, streams, next(i for i, one in enumerate(using) if one & own))

    def _targets(self, index: Mapping[str, int]) -> Iterable[Target]:
        """Retrofits, the slots of easing options after those they ease."""
        visits = {visit: i for i, visit in enumerate(self._visits)}
        for axis in self._sweep_order():
            for level, name in enumerate(self.fitted[axis]):
                option = None if name is None else self.case.catalogue.by_id[name]
                if option is None or not option.retrofittable or option.multiplier is None:
                    continue
                yield Target(
                    axis=axis,
                    level=level,
                    option=index[option.option],
                    price=option.listed_later,
                    bounds=bounds_of(option.multiplier),
                    downtime=self.left * option.downtime_days * self.case.machine.margin_per_day,
                    visit=-1 if option.call_out is None else visits[self._calls[option.option]],
                    easing=self._easing(option),
                )

    def _easing(self, option: Option) -> Easing | None:
        if option.eased_by is None or option.eased is None:
            return None
        axis, level = self.place[option.eased_by]
        return Easing(axis, level, bounds_of(option.eased))

    def _sweep_order(self) -> tuple[int, ...]:
        """Slots, each after those that it eases: backward in time the last is fitted first.

        Where it can be also after those that require it, so that fitting one by one in this order
        leads through few states that break a requirement.
        """
        try:
            return self._sorted([*self._easers(), *self._required()])
        except CycleError:
            return self._sorted(self._easers())

    def _sorted(self, pairs: Iterable[tuple[str, str]]) -> tuple[int, ...]:
        """Slots, that of the first of two options before that of the second."""
        sorter = TopologicalSorter({axis: set[int]() for axis in range(len(self.slots))})
        for first, second in pairs:
            before, after = self.place[first][0], self.place[second][0]
            if before != after:
                sorter.add(after, before)
        return tuple(sorter.static_order())

    def _easers(self) -> Iterator[tuple[str, str]]:
        for option in self.options:
            if option.retrofittable and option.eased_by is not None:
                yield option.option, option.eased_by

    def _required(self) -> Iterator[tuple[str, str]]:
        return ((one.option, needed) for one in self.options for needed in one.requires)
