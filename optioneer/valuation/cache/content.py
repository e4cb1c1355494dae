"""What a sum reads, as one short name: two that are equal read the same."""

from collections.abc import Callable
from dataclasses import fields, is_dataclass, replace
from functools import cache, lru_cache
from hashlib import sha256
from operator import is_
from typing import Any

import numpy as np

from optioneer.arrays import Floats, Indices
from optioneer.valuation.lattice.lattice import Lattice
from optioneer.valuation.timing.cluster import World
from optioneer.valuation.worlds.futures import Futures
from optioneer.valuation.worlds.scenario import Growth
from optioneer.valuation.worlds.scores import Scores

NAME_BYTES = 20
"""Length of a name: that two contents share one is out of the question."""

_PLAIN = (bool, int, float, str, np.generic)


def content_name(*contents: Any) -> str:
    """The name of some contents: arrays, numbers, texts, tuples, sets and dataclasses of them.

    Raises
    ------
    TypeError
        If a content is of another kind, so that nothing is named by less than all it holds.

    Examples
    --------
    >>> content_name(1.0, "a") == content_name(1.0, "a")
    True
    >>> content_name((1, 2), 3) == content_name(1, (2, 3))
    False
    """
    name = sha256()
    _put_bytes(contents, name.update)
    return name.hexdigest()[: 2 * NAME_BYTES]


def _put_bytes(content: Any, put: Callable[[bytes | memoryview], None]) -> None:
    """Put the bytes of a content behind those that are there, of arrays without a copy."""
    if isinstance(content, np.ndarray):
        put(f"array {content.dtype.str} {content.shape} ".encode())
        put(np.ascontiguousarray(content).reshape(-1).view(np.uint8).data)
    elif content is None or isinstance(content, _PLAIN):
        put(f"{type(content).__name__} {content!r} ".encode())
    elif isinstance(content, tuple | list):
        put(f"{len(content)} of ".encode())
        for each in content:
            _put_bytes(each, put)
    elif isinstance(content, frozenset):
        put(b"set of ")
        _put_bytes(sorted(content), put)
    elif is_dataclass(content) and not isinstance(content, type):
        put(f"{type(content).__name__} ".encode())
        for name in _field_names(type(content)):
            _put_bytes(getattr(content, name), put)
    else:
        raise TypeError(f"No name for a {type(content).__name__}.")


@cache
def _field_names(kind: Any) -> tuple[str, ...]:
    return tuple(field.name for field in fields(kind))


def swept_name(world: World, lattice: Lattice) -> str:
    """The name of all that sweeping `lattice` reads of a world; its prices are not read.

    Notes
    -----
    Of futures and scenario only the rows of the lattice's own streams and options count, and of the
    other streams what their arrivals say of drivers; so a figure elsewhere leaves the name alone.
    """
    hours = None
    if world.attendance is not None and lattice.way_sets is not None:
        hours = (world.attendance, _name_of(world.price), _name_of(world.learned_price))
    read = _Same(lattice, world.timeline, world.growth, world.scores, world.learned)
    valued = _of_futures(world.valued, lattice, _telling(world.growth, world.scores, lattice))
    return content_name(_name_of_lessons(read), valued, hours)


class _Same:
    """Contents that nobody changes: the same ones, not others that hold the same."""

    def __init__(self, *contents: Any) -> None:
        self.contents = contents

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and all(map(is_, self.contents, other.contents))

    def __hash__(self) -> int:
        return hash(tuple(map(id, self.contents)))


def _name_of(price: Floats | None) -> str | None:
    """The name of prices that every cluster of a case reads."""
    return None if price is None else _name_of_same(_Same(price))


@lru_cache(maxsize=4)
def _name_of_same(price: _Same) -> str:
    return content_name(*price.contents)


@lru_cache(maxsize=32)
def _name_of_lessons(read: _Same) -> str:
    """The name of what is read while learning, but for the price of an hour.

    A case asks for it on the futures that it is valued on, and on others.
    """
    lattice, timeline, growth, scored, learned = read.contents
    targets = tuple(replace(target, option=0) for target in lattice.targets)
    rows, telling = lattice.streams, _telling(growth, scored, lattice)
    return content_name(
        replace(bare(lattice), streams=np.arange(len(rows)), targets=targets),
        timeline,
        _of_streams(growth, rows),
        None if telling is None else _telling_scores(scored, rows, telling),
        _of_futures(learned, lattice, telling),
    )


def bare(lattice: Lattice) -> Lattice:
    """A lattice without prices and names."""
    return replace(lattice, names=(), fitted=(), price=np.empty(0))


def _telling(growth: Growth, scored: Scores | None, lattice: Lattice) -> Indices | None:
    """Streams whose arrivals say something of those of the lattice; none where none do."""
    if scored is None or not growth.loadings[lattice.streams].any():
        return None
    return np.flatnonzero(scored.gain[lattice.streams].any(axis=0))


def _telling_scores(
    scores: Scores, rows: Indices, telling: Indices
) -> tuple[Floats, Floats, Floats]:
    gain = scores.gain[rows][:, telling]
    return scores.seen[telling], scores.absent[telling], gain


def _of_streams(growth: Growth, rows: Indices) -> Growth:
    """The scenario of some streams; drivers count by what is told of them."""
    return Growth(
        keys=(),
        chance=growth.chance[rows],
        years=growth.years[rows],
        margin=growth.margin[rows],
        growth=growth.growth[rows],
        swing=growth.swing[rows],
        life=growth.life[rows],
        loadings=growth.loadings[rows],
        nudge=np.empty(0),
        chances=tuple(growth.chance_range(int(k)) for k in rows),
        lasts=tuple(growth.life_range(int(k)) for k in rows),
        stay=growth.stay,
    )


def _of_futures(futures: Futures, lattice: Lattice, telling: Indices | None) -> tuple[Any, ...]:
    rows = lattice.streams
    return (
        futures.count,
        futures.arrival[rows],
        futures.level[rows],
        tuple(futures.log_swing[int(k)] for k in rows),
        futures.quantile[[target.option for target in lattice.targets]],
        futures.life[rows] if futures.life.size else None,
        futures.stay,
        None if telling is None else futures.arrival[telling],
        [futures.arrival[list(k)] for each in lattice.turns if each for k in each.streams],
    )
