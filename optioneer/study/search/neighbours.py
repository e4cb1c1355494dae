"""Packages next to a package: one level changed, or a few that belong together."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

from optioneer.valuation.lattice.levels import Levels, Terms

MOST_REPAIRS = 20
"""Levels changed to make a package keep the rules before it is given up."""


@dataclass(frozen=True)
class Neighbourhood:
    """The neighbours of packages of one cluster."""

    terms: Terms

    def of(self, package: Levels) -> list[Levels]:
        """Packages next to one, each once, without itself; all keep the rules."""
        found = dict.fromkeys([*self._single(package), *self._together(package)])
        found.pop(package, None)
        return list(found)

    def flipped(self, package: Levels, option: int) -> list[Levels]:
        """Packages next to one that differ from it in holding one option."""
        axis, level = self.terms.place[option]
        if package[axis] != level:
            wanted = [level]
        else:
            wanted = [i for i in range(len(self.terms.fitted[axis])) if i != level]
        found = (self.repaired(_with(package, axis, i), {axis}) for i in wanted)
        holds = package[axis] == level
        return [p for p in found if p is not None and (p[axis] == level) != holds]

    def of_slot(self, package: Levels, axis: int) -> Iterator[Levels]:
        """Packages with another level in one slot, and what the rules then ask for."""
        for level in range(len(self.terms.fitted[axis])):
            if level != package[axis]:
                yield from self._kept(_with(package, axis, level), {axis})

    def _single(self, package: Levels) -> Iterator[Levels]:
        for axis in range(len(self.terms.fitted)):
            yield from self.of_slot(package, axis)

    def _kept(self, package: Levels, held: set[int]) -> Iterator[Levels]:
        repaired = self.repaired(package, held)
        if repaired is not None:
            yield repaired

    def _together(self, package: Levels) -> Iterator[Levels]:
        """All options of a bundle or a way ordered, or all that are there left off."""
        for options in self.groups:
            places = [self.terms.place[option] for option in options]
            there = [place for place in places if package[place[0]] == place[1]]
            axes = {axis for axis, _ in places}
            if len(there) < len(places):
                moved = package
                for axis, level in places:
                    moved = _with(moved, axis, level)
                yield from self._kept(moved, axes)
            if len(there) > 1:
                moved = package
                for axis, level in there:
                    moved = _with(moved, axis, 1 if level == 0 and self._wide(axis) else 0)
                yield from self._kept(moved, axes)

    def _wide(self, axis: int) -> bool:
        return len(self.terms.fitted[axis]) > 1

    @cached_property
    def groups(self) -> tuple[tuple[int, ...], ...]:
        """Options that earn or save something together."""
        ways = (way.options for ways in self.terms.ways for way in ways)
        bundles = (bundle.options for bundle in self.terms.bundles)
        several = (tuple(sorted(set(group))) for group in (*ways, *bundles))
        return tuple(dict.fromkeys(group for group in several if len(group) > 1))

    @cached_property
    def tied(self) -> dict[int, frozenset[int]]:
        """Slots that share a stream or a bundle with each slot, itself left out."""
        found: dict[int, set[int]] = {axis: set() for axis in range(len(self.terms.fitted))}
        streams = [{o for way in ways for o in way.options} for ways in self.terms.ways]
        for group in (*streams, *(set(bundle.options) for bundle in self.terms.bundles)):
            axes = {self.terms.place[option][0] for option in group}
            for axis in axes:
                found[axis] |= axes - {axis}
        return {axis: frozenset(others) for axis, others in found.items()}

    def repaired(self, package: Levels, held: set[int]) -> Levels | None:
        """The package with other slots changed until it keeps the rules; none if that fails.

        Parameters
        ----------
        package
            Level of each slot.
        held
            Slots that stay as they are.
        """
        for _ in range(MOST_REPAIRS):
            breach = self._breach(package)
            if breach is None:
                return package
            moved = self._mended(package, breach, held)
            if moved is None:
                return None
            package = moved
        return None

    def _breach(self, package: Levels) -> tuple[int, int, bool] | None:
        """Two options that break a rule, and whether the first requires the second."""
        owned = self.terms.options_of(package)
        for one, other in self.terms.requires:
            if one in owned and other not in owned:
                return one, other, True
        for one, other in self.terms.excludes:
            if one in owned and other in owned:
                return one, other, False
        return None

    def _mended(
        self, package: Levels, breach: tuple[int, int, bool], held: set[int]
    ) -> Levels | None:
        one, other, requires = breach
        axis, level = self.terms.place[other]
        if requires and axis not in held:
            held.add(axis)
            return _with(package, axis, level)
        for option in (one,) if requires else (one, other):
            axis, level = self.terms.place[option]
            others = [i for i in range(len(self.terms.fitted[axis])) if i != level]
            if axis not in held and others:
                held.add(axis)
                return _with(package, axis, others[0])
        return None


def _with(package: Levels, axis: int, level: int) -> Levels:
    return (*package[:axis], level, *package[axis + 1 :])
