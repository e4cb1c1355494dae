"""What a sum reads, as one short name: two that are equal read the same."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from hashlib import blake2b
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


def content_name(*contents: Any) -> str:
    """The name of some contents: arrays, numbers, texts, tuples and dataclasses of them.

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
    found = blake2b(digest_size=NAME_BYTES)
    for part in _bytes_of(contents):
        found.update(part)
    return found.hexdigest()


def _bytes_of(content: Any) -> Iterator[bytes | memoryview]:
    if isinstance(content, np.ndarray):
        yield f"array {content.dtype.str} {content.shape} ".encode()
        yield np.ascontiguousarray(content).reshape(-1).view(np.uint8).data
    elif content is None or isinstance(content, bool | int | float | str | np.generic):
        yield f"{type(content).__name__} {content!r} ".encode()
    elif isinstance(content, tuple | list):
        yield f"{len(content)} of ".encode()
        for each in content:
            yield from _bytes_of(each)
    elif is_dataclass(content) and not isinstance(content, type):
        yield f"{type(content).__name__} ".encode()
        for field in fields(content):
            yield from _bytes_of(getattr(content, field.name))
    else:
        raise TypeError(f"No name for a {type(content).__name__}.")


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
    targets = tuple(replace(target, option=0) for target in lattice.targets)
    rows, telling = lattice.streams, _telling(world, lattice)
    return content_name(
        replace(bare(lattice), streams=np.arange(len(rows)), targets=targets),
        world.timeline,
        _of_streams(world.growth, rows),
        None
        if telling is None or world.scores is None
        else _telling_scores(world.scores, rows, telling),
        _of_futures(world.valued, lattice, telling),
        _of_futures(world.learned, lattice, telling),
        hours,
    )


class _Same:
    """An array that nobody changes: the same one, not one that holds the same."""

    def __init__(self, array: Floats) -> None:
        self.array = array

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Same) and other.array is self.array

    def __hash__(self) -> int:
        return id(self.array)


def _name_of(price: Floats | None) -> str | None:
    """The name of prices that every cluster of a case reads."""
    return None if price is None else _name_of_same(_Same(price))


@lru_cache(maxsize=4)
def _name_of_same(price: _Same) -> str:
    return content_name(price.array)


def bare(lattice: Lattice) -> Lattice:
    """A lattice without prices and names."""
    return replace(lattice, names=(), fitted=(), price=np.empty(0))


def _telling(world: World, lattice: Lattice) -> Indices | None:
    """Streams whose arrivals say something of those of the lattice; none where none do."""
    if world.scores is None or not world.growth.loadings[lattice.streams].any():
        return None
    return np.flatnonzero(world.scores.gain[lattice.streams].any(axis=0))


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
