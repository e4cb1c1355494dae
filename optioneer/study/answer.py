"""The base of every answer, the three verdicts, and how likely what waits is fitted."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

Verdict = Literal["order now", "leave for retrofit", "leave off"]

Waiting = Literal["planned", "possible", "unlikely"]
"""How likely it is that what is left for a retrofit is fitted."""

PLANNED, POSSIBLE = 0.5, 0.1
"""Shares of futures from which on a retrofit is planned, and possible; below it is unlikely."""


def waiting_at(chance: float) -> Waiting:
    """How likely a retrofit is that is fitted in a share of futures.

    Examples
    --------
    >>> [waiting_at(chance) for chance in (0.5, 0.499, 0.1, 0.0999)]
    ['planned', 'possible', 'possible', 'unlikely']
    """
    if chance >= PLANNED:
        return "planned"
    return "possible" if chance >= POSSIBLE else "unlikely"


class Answer(BaseModel):
    """An immutable result."""

    model_config = ConfigDict(frozen=True, extra="forbid")
