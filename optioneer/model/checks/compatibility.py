"""Which options can stand on one machine together, decided exactly."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from optioneer.model.catalogue import Catalogue, Option

MOST_STEPS = 200_000
"""Fittings tried in all before the search gives up (about two seconds)."""


NO_CREDIT = "has no delete_credit"
"""Why a standard item stays."""


class TooTangledError(Exception):
    """The search for a package would take too long; caught by the checks, which say so."""


@dataclass(frozen=True)
class Conflict:
    """Why options cannot stand together, as a clause: ``'a' excludes 'b'``."""

    why: str


FittedBySlot = dict[str, str]
"""Option by slot."""


@dataclass
class Orders:
    """The packages that a catalogue allows.

    References to options that are not in the catalogue are passed over; they are faults of their
    own. So is an option that names itself.

    Parameters
    ----------
    catalogue
        The options, ids unique.
    steps
        Fittings still to be tried before the search gives up.
    """

    catalogue: Catalogue
    steps: int = MOST_STEPS

    @cached_property
    def slot(self) -> Mapping[str, str]:
        """Slot of each option."""
        return {o.option: slot.name for slot in self.catalogue.slots for o in slot.options}

    @cached_property
    def requires(self) -> Mapping[str, tuple[str, ...]]:
        """Options that each one requires, in the order of the file."""
        known = self.catalogue.by_id
        return {
            o.option: tuple(name for name in o.requires if name in known and name != o.option)
            for o in self.catalogue.options
        }

    @cached_property
    def excluded(self) -> Mapping[str, Mapping[str, str]]:
        """By option, those that cannot stand beside it, and which of the two says so."""
        pairs: dict[str, dict[str, str]] = defaultdict(dict)
        for option in self.catalogue.options:
            for other in option.excludes:
                if other in self.catalogue.by_id and other != option.option:
                    pairs[option.option][other] = option.option
                    pairs[other].setdefault(option.option, option.option)
        return pairs

    @cached_property
    def filled(self) -> Mapping[str, tuple[str, ...]]:
        """Options of each slot that is never empty, the standard one first, or the wanted one."""
        return {
            slot.name: tuple(
                o.option
                for o in sorted(slot.options, key=_standard_last, reverse=True)
                if slot.must is None or o.must
            )
            for slot in self.catalogue.slots
            if not slot.may_be_empty
        }

    @cached_property
    def proven(self) -> set[str]:
        """Options seen in some package that is allowed."""
        return set()

    def conflict(self, wanted: Collection[str]) -> Conflict | None:
        """Why no package that is allowed holds all of `wanted`; none when one does.

        Raises
        ------
        TooTangledError
            Requirements and exclusions are so entangled that it was not decided.
        """
        if len(wanted) == 1 and self.proven.issuperset(wanted):
            return None
        start = self._with_requirements({}, wanted)
        if isinstance(start, Conflict):
            return start
        found = self._with_standards(start)
        if isinstance(found, Conflict):
            return found
        self.proven.update(found.values())
        return None

    def breach(self, fitted: Collection[str]) -> str | None:
        """The first rule that exactly these options break; none when they are allowed."""
        held: FittedBySlot = {}
        for name in fitted:
            other = held.setdefault(self.slot[name], name)
            if other != name:
                return f"'{other}' and '{name}' share the slot '{self.slot[name]}'"
        return self._broken(fitted) or self._empty(held) or self._wish_missed(held)

    def _broken(self, fitted: Collection[str]) -> str | None:
        here = set(fitted)
        for name in fitted:
            for needed in self.requires[name]:
                if needed not in here:
                    return f"'{name}' requires '{needed}'"
            for other, sayer in self.excluded.get(name, {}).items():
                if other in here:
                    return f"'{sayer}' excludes '{other if sayer == name else name}'"
        return None

    def _empty(self, held: FittedBySlot) -> str | None:
        for slot, options in self.filled.items():
            if slot not in held:
                why = "is wanted" if self.catalogue.by_id[options[0]].must else NO_CREDIT
                return f"the slot '{slot}' cannot be empty: '{options[0]}' {why}"
        return None

    def _wish_missed(self, held: FittedBySlot) -> str | None:
        for slot in self.catalogue.slots:
            if slot.must is not None and held[slot.name] != slot.must.option:
                return f"'{slot.must.option}' is wanted in every package (must)"
        return None

    def _with_requirements(
        self, fitted: FittedBySlot, wanted: Iterable[str]
    ) -> FittedBySlot | Conflict:
        """`fitted` and all of `wanted` with what they require, or why that cannot be."""
        held, asked_by = dict(fitted), dict.fromkeys(wanted, "")
        waiting = list(asked_by)
        while waiting:
            name = waiting.pop()
            clash = self._clash(held, name)
            if clash:
                return Conflict(_sentence(clash, asked_by))
            held[self.slot[name]] = name
            for needed in self.requires[name]:
                if held.get(self.slot[needed]) != needed:
                    asked_by.setdefault(needed, name)
                    waiting.append(needed)
        return held

    def _clash(self, held: FittedBySlot, name: str) -> tuple[str, str, str] | None:
        """What of `held` cannot stand beside `name`: both and how they clash."""
        self.steps -= 1
        if self.steps < 0:
            raise TooTangledError
        rival = held.get(self.slot[name], name)
        if rival != name:
            return rival, name, f"share the slot '{self.slot[name]}'"
        for other, sayer in self.excluded.get(name, {}).items():
            if held.get(self.slot[other]) == other:
                return sayer, other if sayer == name else name, "excludes"
        return None

    def _with_standards(self, fitted: FittedBySlot) -> FittedBySlot | Conflict:
        """`fitted` with something in every slot that is never empty, or why that cannot be."""
        standard = self._with_requirements(
            fitted, [s[0] for k, s in self.filled.items() if k not in fitted]
        )
        if not isinstance(standard, Conflict):
            return standard
        choices = {
            slot: [
                tried
                for name in names
                if isinstance(tried := self._with_requirements(fitted, [name]), dict)
            ]
            for slot, names in self.filled.items()
            if slot not in fitted
        }
        slot = min(choices, key=lambda slot: len(choices[slot]))
        for tried in choices[slot]:
            found = self._with_standards(tried)
            if not isinstance(found, Conflict):
                return found
        return Conflict(f"nothing that may fill the slot '{slot}' can stand beside it")


def _standard_last(option: Option) -> bool:
    return option.standard


def _sentence(clash: tuple[str, str, str], asked_by: Mapping[str, str]) -> str:
    first, second, how = clash
    names = [
        f"'{n}' (required by '{asked_by[n]}')" if asked_by.get(n) else f"'{n}'"
        for n in (first, second)
    ]
    return (
        f"{names[0]} {how} {names[1]}" if how == "excludes" else f"{names[0]} and {names[1]} {how}"
    )
