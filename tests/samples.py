"""How many seeds and futures the suite tries; with ``OPTIONEER_EVERY_SEED=1`` all there are."""

import os
from collections.abc import Sequence
from typing import TypeVar

EVERY = "OPTIONEER_EVERY_SEED" in os.environ
"""Whether time does not matter."""

T = TypeVar("T")


def sample(every: Sequence[T], count: int) -> Sequence[T]:
    """The first of them, that many in the suite."""
    return every if EVERY else every[:count]


def examples(count: int) -> int:
    """How many examples of a law are drawn: in the suite two in five of those there may be."""
    return count if EVERY else max(2 * count // 5, 5)
