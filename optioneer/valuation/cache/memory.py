"""What has been worked out and may be asked for again: by name, within bounds."""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from threading import Lock
from typing import Any, Protocol

from numpy.typing import NDArray

Arrays = Mapping[str, NDArray[Any]]
"""What is kept under one name."""

MOST_BYTES = 2**28
"""Memory that is used to keep what has been worked out, unless told otherwise [bytes]."""


class Beyond(Protocol):
    """A place that may give back what was put there."""

    def get(self, name: str) -> Arrays | None:
        """What was put there under a name; none: it was not, or is no longer there."""
        ...

    def put(self, name: str, arrays: Arrays) -> None:
        """Keep some arrays, which nobody changes from now on."""
        ...


class Memory:
    """The memory of this process: what was asked for least lately makes room.

    Parameters
    ----------
    most
        Bytes that are held at most; what is larger is not kept.
    beyond
        Where to look for what is not here, and where everything goes, too.
    """

    def __init__(self, most: int = MOST_BYTES, beyond: Beyond | None = None) -> None:
        self.most, self.beyond = most, beyond
        self.hits, self.misses = 0, 0
        self._held: OrderedDict[str, Arrays] = OrderedDict()
        self._bytes = 0
        self._lock = Lock()

    @property
    def nbytes(self) -> int:
        """Memory that is held [bytes]."""
        return self._bytes

    def get(self, name: str) -> Arrays | None:
        """See `Beyond`."""
        with self._lock:
            found = self._held.get(name)
            if found is not None:
                self._held.move_to_end(name)
                self.hits += 1
                return found
        found = None if self.beyond is None else self.beyond.get(name)
        with self._lock:
            self.hits, self.misses = self.hits + (found is not None), self.misses + (found is None)
        if found is not None:
            self._hold(name, found)
        return found

    def put(self, name: str, arrays: Arrays) -> None:
        """See `Beyond`."""
        for array in arrays.values():
            array.flags.writeable = False
        self._hold(name, arrays)
        if self.beyond is not None:
            self.beyond.put(name, arrays)

    def forget(self) -> None:
        """Give all memory back."""
        with self._lock:
            self._held.clear()
            self._bytes, self.hits, self.misses = 0, 0, 0

    def _hold(self, name: str, arrays: Arrays) -> None:
        size = _size(arrays)
        with self._lock:
            if size > self.most or name in self._held:
                return
            self._held[name] = arrays
            self._bytes += size
            while self._bytes > self.most:
                _, oldest = self._held.popitem(last=False)
                self._bytes -= _size(oldest)


def _size(arrays: Arrays) -> int:
    return sum(array.nbytes for array in arrays.values())


MEMORY = Memory()
"""That of this process. A shell may put a place beyond it."""


def remembered_arrays(name: str, make: Callable[[], Arrays]) -> Arrays:
    """What is kept under a name, or is made now and kept from then on."""
    found = MEMORY.get(name)
    if found is None:
        found = make()
        MEMORY.put(name, found)
    return found
