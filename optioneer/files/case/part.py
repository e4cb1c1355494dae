"""What one file contributes to a case."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from optioneer.errors import Fault


@dataclass(frozen=True)
class CasePart:
    """Facts of a case that one file states.

    Parameters
    ----------
    facts
        Values of fields of `Case`, by name; where the file has faults, good enough to go on
        checking the rest of the case.
    rows
        Row of each option in its table, by id, for tables [row number, the heading being 1].
    """

    facts: Mapping[str, Any]
    faults: tuple[Fault, ...] = ()
    rows: Mapping[str, int] = field(default_factory=dict)
