"""What is ticked for a package of one's own: what gives way, what clashes, and the cures."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.checks.compatibility import Orders


@dataclass(frozen=True)
class Clash:
    """A rule that ticks break, and what would cure it.

    Parameters
    ----------
    option
        Id of the option in whose row it is told.
    said
        What is wrong, and the cure, in a sentence.
    tick, untick
        Ids of what the cure ticks and takes away.
    """

    option: str
    said: str
    tick: tuple[str, ...] = ()
    untick: tuple[str, ...] = ()


def ticks_after(
    orders: Orders, base: Collection[str], before: Collection[str], edits: Mapping[str, bool]
) -> frozenset[str]:
    """What is ticked after edits; what has just been ticked takes the place of what was there.

    Parameters
    ----------
    base
        What was ticked when the matrix was drawn.
    before
        What was ticked before the last edit.
    edits
        Every edit since the matrix was drawn.
    """
    held = {name for name in base if edits.get(name, True)}
    held |= {name for name, on in edits.items() if on}
    fresh = held - set(before)
    places = {orders.slot[name] for name in fresh}
    return frozenset(name for name in held if name in fresh or orders.slot[name] not in places)


def clashes(case: Case, held: Collection[str]) -> tuple[Clash, ...]:
    """Every rule that exactly these options break, with its cure."""
    orders = Orders(case.catalogue)
    return (*_lacking(case, orders, held), *_excluding(case, orders, held), *_empty(orders, held))


def _name(case: Case, option: str) -> str:
    return case.catalogue.by_id[option].name


def _lacking(case: Case, orders: Orders, held: Collection[str]) -> Iterator[Clash]:
    for name in case.catalogue.by_id:
        missing = [one for one in orders.requires[name] if one not in held]
        if name in held and missing:
            named = " and ".join(_name(case, one) for one in missing)
            yield Clash(name, f"needs {named}: tick that too", tick=tuple(missing))


def _excluding(case: Case, orders: Orders, held: Collection[str]) -> Iterator[Clash]:
    for name in case.catalogue.by_id:
        others = [one for one in orders.excluded.get(name, {}) if one in held]
        if name in held and others:
            named = " and ".join(_name(case, one) for one in others)
            yield Clash(name, f"cannot stand with {named}: take one away", untick=tuple(others))


def _empty(orders: Orders, held: Collection[str]) -> Iterator[Clash]:
    filled = {orders.slot[name] for name in held}
    for slot, options in orders.filled.items():
        if slot not in filled:
            yield Clash(options[0], "cannot be left off: tick it", tick=options[:1])


def ticks_after_cures(held: Collection[str], found: Collection[Clash]) -> frozenset[str]:
    """What is ticked once the cures are done; of two that exclude each other one goes."""
    changed, gone = set(held), set[str]()
    for clash in found:
        changed |= set(clash.tick)
        if clash.option not in gone:
            gone |= set(clash.untick)
    return frozenset(changed - gone)
