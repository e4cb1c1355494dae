"""Circles in what leads to what."""

from collections.abc import Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter


def circles(leads_to: Mapping[str, Iterable[str]]) -> Iterator[tuple[str, ...]]:
    """Circles, each from its alphabetically first member; breaking all of them leaves none.

    Parameters
    ----------
    leads_to
        Names by name.

    Examples
    --------
    >>> list(circles({"b": ["c"], "c": ["a"], "a": ["b"], "d": ["a"]}))
    [('a', 'b', 'c')]
    """
    left = {name: set(others) for name, others in leads_to.items()}
    while True:
        try:
            TopologicalSorter(left).prepare()
        except CycleError as error:
            found = error.args[1][:0:-1]  # told from the last to the first, the first twice
            first = found.index(min(found))
            yield (*found[first:], *found[:first])
            left.pop(found[first])
        else:
            return
