"""Slots that hang together, and call-outs that slots share which have nothing else in common."""

import math
from collections.abc import Collection, Iterable, Sequence
from itertools import pairwise

from optioneer.model.case import Case
from optioneer.model.catalogue import Slot

LARGEST_CALLED = 256
"""Packages up to which slots that a named call-out ties are valued as one, exactly."""

VisitKey = tuple[int, str]
"""A call-out: number of the group of slots that it serves, name."""


def related(case: Case) -> tuple[tuple[Slot, ...], ...]:
    """Slots grouped so that groups share no stream, rule, bundle or easing.

    Nor a named call-out, but for those of `calls_apart`.
    """
    slots = case.catalogue.slots
    label = _groups(case, calls_apart(case))
    return tuple(
        tuple(slot for slot, own in zip(slots, label, strict=True) if own == cluster)
        for cluster in range(max(label, default=-1) + 1)
    )


def calls_apart(case: Case) -> frozenset[str]:
    """Named call-outs that slots share without being valued as one.

    They are gone through in the order of their names; one that would tie slots to more than
    `LARGEST_CALLED` packages ties none.
    """
    named = _named(case)
    apart = frozenset(named)
    for name in sorted(named):
        before, after = _groups(case, apart), _groups(case, apart - {name})
        slots = {_places(case)[option] for option in named[name]}
        whole = {after[slot] for slot in slots}
        tied = [s for s, own in zip(case.catalogue.slots, after, strict=True) if own in whole]
        if len({before[slot] for slot in slots}) == 1 or package_count(tied) <= LARGEST_CALLED:
            apart -= {name}
    return apart


def visit_groups(case: Case) -> dict[VisitKey, tuple[str, ...]]:
    """Options that use each call-out when they are retrofitted.

    One visit serves all of a group of slots that share a stream, a rule, a bundle, an easing or a
    named call-out, whether they are valued as one or apart.
    """
    label, place = _groups(case, frozenset()), _places(case)
    found: dict[VisitKey, tuple[str, ...]] = {}
    for option in case.catalogue.options:
        if option.retrofittable and option.call_out is not None:
            visit = label[place[option.option]], option.call_out
            found[visit] = (*found.get(visit, ()), option.option)
    return found


def package_count(slots: Sequence[Slot]) -> int:
    """Number of packages that `slots` make, impossible ones included."""
    return math.prod(len(slot.options) + slot.may_be_empty for slot in slots)


def _places(case: Case) -> dict[str, int]:
    """Number of the slot of each option."""
    slots = case.catalogue.slots
    return {option.option: i for i, slot in enumerate(slots) for option in slot.options}


def _groups(case: Case, apart: Collection[str]) -> tuple[int, ...]:
    """Number of the group that each slot is in where some named call-outs tie none."""
    slots, place = case.catalogue.slots, _places(case)
    whole = [{i} for i in range(len(slots))]
    for group in _ties(case, apart):
        for one, other in pairwise(sorted({place[option] for option in group})):
            if whole[one] is not whole[other]:
                whole[one] |= whole[other]
                for slot in whole[other]:
                    whole[slot] = whole[one]
    firsts = sorted({min(group) for group in whole})
    return tuple(firsts.index(min(group)) for group in whole)


def _ties(case: Case, apart: Collection[str]) -> Iterable[Sequence[str]]:
    """Groups of options whose slots must be valued together."""
    for stream in case.growth.stream:
        yield [option for way in stream.way for option in way.options]
    for bundle in case.bundles:
        yield bundle.options
    for option in case.catalogue.options:
        yield [option.option, *option.requires, *option.excludes]
        if option.eased_by is not None:
            yield [option.option, option.eased_by]
    yield from (options for name, options in _named(case).items() if name not in apart)


def _named(case: Case) -> dict[str, list[str]]:
    """Options of each named call-out."""
    found: dict[str, list[str]] = {}
    for option in case.catalogue.options:
        if option.call_out not in {None, "default"}:
            found.setdefault(str(option.call_out), []).append(option.option)
    return found
