"""The base of every answer, the three verdicts, and how likely what waits is fitted."""

from typing import Literal, TypedDict

from pydantic import BaseModel, ConfigDict

from optioneer.model.case import Case

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


class DrawnAnswer(Answer):
    """An answer on the draws of a case."""

    case: str
    currency: str
    futures: int
    seed: int


class Draws(TypedDict):
    """What such an answer begins with."""

    case: str
    currency: str
    futures: int
    seed: int


def draws_of(case: Case) -> Draws:
    """The case, its currency, and which futures are drawn of it."""
    currency, growth = case.machine.currency, case.growth
    return {"case": case.name, "currency": currency, "futures": growth.futures, "seed": growth.seed}


SEARCHED = (
    "Whether packages were searched, where too many hang together to value them all: what is told "
    "is then the best that was found."
)
"""Of answers that tell no gap."""
