"""Slots that hang together, and call-outs that slots share which have nothing else in common."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from optioneer.model.case import Case
from optioneer.model.catalogue import Slot

LARGEST_CALLED = 256
"""Packages up to which slots that a named call-out ties are valued as one, exactly."""

KEPT = 64
"""Cases, by what hangs together in them and which call-outs tie, whose groups are kept."""

VisitKey = tuple[int, str]
"""A call-out: number of the group of slots that it serves, name."""


@dataclass(frozen=True)
class _Ties:
    """What hangs together in a case; cases whose figures alone differ have the same.

    Parameters
    ----------
    slots
        Options of each slot, and whether it may be empty.
    groups
        Options whose slots must be valued together.
    named
        Options of each named call-out.
    """

    slots: tuple[tuple[tuple[str, ...], bool], ...]
    groups: tuple[tuple[str, ...], ...]
    named: tuple[tuple[str, tuple[str, ...]], ...]

    @property
    def place(self) -> dict[str, int]:
        """Number of the slot of each option."""
        return {option: i for i, (own, _) in enumerate(self.slots) for option in own}


def related(case: Case) -> tuple[tuple[Slot, ...], ...]:
    """Slots grouped so that groups share no stream, rule, bundle or easing.

    Nor a named call-out, but for those of `calls_apart`.
    """
    slots, ties = case.catalogue.slots, _ties(case)
    label = _labels(ties, _apart(ties, LARGEST_CALLED))
    return tuple(
        tuple(slot for slot, own in zip(slots, label, strict=True) if own == cluster)
        for cluster in range(max(label, default=-1) + 1)
    )


def calls_apart(case: Case) -> frozenset[str]:
    """Named call-outs that slots share without being valued as one.

    They are gone through in the order of their names; one that would tie slots to more than
    `LARGEST_CALLED` packages ties none.
    """
    return _apart(_ties(case), LARGEST_CALLED)


@lru_cache(KEPT)
def _apart(ties: _Ties, largest: int) -> frozenset[str]:
    named, place = dict(ties.named), ties.place
    apart = frozenset(named)
    for name in sorted(named):
        before, after = _labels(ties, apart), _labels(ties, apart - {name})
        slots = {place[option] for option in named[name]}
        whole = {after[slot] for slot in slots}
        tied = (s for s, own in zip(ties.slots, after, strict=True) if own in whole)
        count = math.prod(len(options) + empty for options, empty in tied)
        if len({before[slot] for slot in slots}) == 1 or count <= largest:
            apart -= {name}
    return apart


def visit_groups(case: Case) -> dict[VisitKey, tuple[str, ...]]:
    """Options that use each call-out when they are retrofitted.

    One visit serves all of a group of slots that share a stream, a rule, a bundle, an easing or a
    named call-out, whether they are valued as one or apart.
    """
    ties = _ties(case)
    label, place = _labels(ties, frozenset()), ties.place
    found: dict[VisitKey, tuple[str, ...]] = {}
    for option in case.catalogue.options:
        if option.retrofittable and option.call_out is not None:
            visit = label[place[option.option]], option.call_out
            found[visit] = (*found.get(visit, ()), option.option)
    return found


def package_count(slots: Sequence[Slot]) -> int:
    """Number of packages that `slots` make, impossible ones included."""
    return math.prod(len(slot.options) + slot.may_be_empty for slot in slots)


@lru_cache(KEPT)
def _labels(ties: _Ties, apart: frozenset[str]) -> tuple[int, ...]:
    """Number of the group that each slot is in where some named call-outs tie none."""
    place = ties.place
    whole = [{i} for i in range(len(ties.slots))]
    called = (options for name, options in ties.named if name not in apart)
    for group in (*ties.groups, *called):
        for one, other in pairwise(sorted({place[option] for option in group})):
            if whole[one] is not whole[other]:
                whole[one] |= whole[other]
                for slot in whole[other]:
                    whole[slot] = whole[one]
    firsts = sorted({min(group) for group in whole})
    return tuple(firsts.index(min(group)) for group in whole)


def _ties(case: Case) -> _Ties:
    return _Ties(
        slots=tuple(
            (tuple(option.option for option in slot.options), slot.may_be_empty)
            for slot in case.catalogue.slots
        ),
        groups=tuple(_groups(case)),
        named=tuple((name, tuple(options)) for name, options in _named(case).items()),
    )


def _groups(case: Case) -> Iterable[tuple[str, ...]]:
    """Groups of options whose slots must be valued together, named call-outs left out."""
    for stream in case.growth.stream:
        yield tuple(option for way in stream.way for option in way.options)
    for bundle in case.bundles:
        yield tuple(bundle.options)
    for option in case.catalogue.options:
        yield (option.option, *option.requires, *option.excludes)
        if option.eased_by is not None:
            yield (option.option, option.eased_by)


def _named(case: Case) -> dict[str, list[str]]:
    """Options of each named call-out."""
    found: dict[str, list[str]] = {}
    for option in case.catalogue.options:
        if option.call_out not in {None, "default"}:
            found.setdefault(str(option.call_out), []).append(option.option)
    return found
