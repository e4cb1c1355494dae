"""What can go wrong on the user's side, and the one sentence each of them says."""

import difflib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

LONGEST_LIST, LONGEST_BESIDE = 30, 10
"""More allowed words than this are not read out, alone or beside a suggestion."""


class OptioneerError(Exception):
    """A user's mistake: one clear sentence, exit code 2, no traceback."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a case.

    Parameters
    ----------
    where
        File and row or key, e.g. ``options.csv, row 14, option 'work-probe', price``.
    what
        What is wrong and what was found, e.g. ``-1200 is below zero``.
    allowed
        What is allowed or what to do, a sentence of its own; empty when `what` says it all.
    """

    where: str
    what: str
    allowed: str = ""

    def __str__(self) -> str:
        sentence = f"{self.where}: {self.what}."
        return f"{sentence} {self.allowed}" if self.allowed else sentence


@dataclass(frozen=True)
class Question:
    """Something in a case that may be, but is hardly meant.

    Parameters
    ----------
    where
        File and row or key, as of a fault.
    found
        What stands there.
    asks
        What is asked about it, without the mark.

    Examples
    --------
    >>> print(Question("growth.toml, discount_rate", "8", "is it a fraction a year"))
    growth.toml, discount_rate: 8: is it a fraction a year?
    """

    where: str
    found: str
    asks: str

    def __str__(self) -> str:
        return f"{self.where}: {self.found}: {self.asks}?"


class CaseError(OptioneerError):
    """All faults of a case, gathered from all its files.

    Parameters
    ----------
    faults
        At least one.
    """

    def __init__(self, faults: Sequence[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in self.faults))


class RequestError(OptioneerError):
    """A command or a call that asks for what is not in the case or cannot be done."""


class TooLargeError(OptioneerError):
    """A cluster of slots with more packages x futures than the sweep may hold."""


def did_you_mean(found: str, known: Iterable[str]) -> str:
    """What to write instead of an unknown word: the nearest known one, and all when they are few.

    Parameters
    ----------
    found
        What was written.

    Examples
    --------
    >>> did_you_mean("sub-spindel", ["probe", "sub-spindle"])
    "Did you mean 'sub-spindle'? Allowed: probe, sub-spindle."
    >>> did_you_mean("robot", [])
    'None is defined.'
    """
    words = list(dict.fromkeys(known))
    if not words:
        return "None is defined."
    near = difflib.get_close_matches(found[:200].lower(), words, n=1, cutoff=0.6)
    question = [f"Did you mean '{near[0]}'?"] if near else []
    most = LONGEST_BESIDE if near else LONGEST_LIST
    everything = [f"Allowed: {', '.join(words)}."] if len(words) <= most else []
    return " ".join([*question, *everything])
