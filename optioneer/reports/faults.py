"""Faults as lines."""

from collections.abc import Sequence

from optioneer.errors import Fault


def fault_lines(faults: Sequence[Fault]) -> tuple[str, ...]:
    """All faults, numbered when there are several, with their count last."""
    if len(faults) == 1:
        return (str(faults[0]),)
    width = len(str(len(faults)))
    lines = (f"{number:>{width}}. {fault}" for number, fault in enumerate(faults, start=1))
    return (*lines, f"{len(faults)} faults.")
