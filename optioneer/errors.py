"""What can go wrong on the user's side, and the one sentence each of them says."""

from collections.abc import Sequence
from dataclasses import dataclass


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
