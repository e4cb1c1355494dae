"""What can be asked for when advice is asked for."""

import math
from dataclasses import dataclass, replace

from optioneer.errors import RequestError
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.verdicts import CENT
from optioneer.study.problem.effort import Effort, effort_of
from optioneer.study.problem.request import Request
from optioneer.study.worth.pursed import from_account
from optioneer.valuation.figures.summary import interval_errors

MOST_FUTURES = 65536
"""Futures that are drawn at most."""


@dataclass(frozen=True)
class Aim:
    """How sure the answer shall be.

    Parameters
    ----------
    share
        Half of the 95 % interval of the advised package's NPC, as a share of that NPC; none:
        until no verdict is a close call.
    """

    share: float | None = None

    def is_reached(self, answer: Advice) -> bool:
        """Whether `answer` is sure enough."""
        if self.share is None:
            return not unsettled_verdicts(answer)
        return half_interval(answer) <= self.share

    def likely_futures(self, answer: Advice) -> int:
        """Futures that are likely to do, for the errors fall with their root at least."""
        if self.share is None:
            return MOST_FUTURES
        return math.ceil(answer.futures * (half_interval(answer) / self.share) ** 2)


def half_interval(answer: Advice) -> float:
    """Half of the 95 % interval of the advised package's NPC, as a share of that NPC."""
    advised = answer.advised
    half = interval_errors(answer.futures) * advised.npc_se
    return half / abs(advised.npc) if advised.npc else math.inf


def unsettled_verdicts(answer: Advice) -> int:
    """Verdicts that more futures might settle; exact ties are none."""
    return sum(
        option.close_call and not (abs(option.otherwise or 0.0) < CENT and not option.otherwise_se)
        for option in answer.options
    )


@dataclass(frozen=True)
class AdviceRequest(Request):
    """What to order now is asked.

    Parameters
    ----------
    budget
        Limit on the price of the package, if any [money].
    seconds
        Most that a search may take where a cluster has too many packages [s]; none: as usual.
    weight
        Of the mean of the worst tenth of futures, 0..1, the plain mean having the rest; none: the
        mean alone counts, and nothing is told of caution.
    aim
        How sure the answer shall be, drawing twice the futures until it is; none: as sure as the
        futures of the case make it.
    break_even
        Whether to search for break-evens too, which takes many times as long.
    prove
        Whether to prove how near the advice is to the best that anyone could do, too. Where the
        worst futures weigh more, there is no such proof.

    Raises
    ------
    RequestError
        Something is out of bounds, or two of them do not go together.
    """

    budget: float | None = None
    seconds: float | None = None
    weight: float | None = None
    aim: Aim | None = None
    break_even: bool = False
    prove: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be asked before anything is valued."""
        super().__post_init__()
        effort_of(self.seconds)
        if self.weight is not None:
            self._must_count_the_worst(self.weight)
        self._must_count_the_account()
        if self.seconds is not None and (self.weight is not None or self.aim is not None):
            other = "--precision" if self.weight is None else "--risk cvar"
            raise RequestError(
                f"--time-limit ends searches, and {other} makes none: leave one out."
            )

    def _must_count_the_worst(self, weight: float) -> None:
        for option, asked in (("--break-even", self.break_even), ("--precision", self.aim)):
            if asked:
                raise RequestError(f"{option} counts the average: leave it out with --risk cvar.")
        if not 0.0 <= weight <= 1.0:
            raise RequestError(
                f"--weight {weight:g} is not allowed. Write a share, 0 to 1, e.g. 0.3."
            )

    def _must_count_the_account(self) -> None:
        """Refuse what is only known with every retrofit paid."""
        asked = (
            "--break-even" if self.break_even else None if self.weight is None else "--risk cvar"
        )
        if asked is not None and from_account(self.counted):
            raise RequestError(
                f"{asked} counts every retrofit as paid, and the case says [account] retrofits = "
                '"account". Leave one of them out.'
            )

    @property
    def effort(self) -> Effort:
        """What a search may take; break-evens need every package of every cluster."""
        effort = effort_of(self.seconds, self.budget)
        return replace(effort, swept=None) if self.break_even else effort

    @property
    def at_the_order(self) -> "AdviceRequest":
        """The same with all paid at the order, and nothing told beyond the average."""
        return replace(
            self,
            plan=None,
            paid_at_order=True,
            weight=None,
            aim=None,
            break_even=False,
            prove=False,
        )


@dataclass(frozen=True)
class PackageRequest(Request):
    """What one package costs is asked.

    Parameters
    ----------
    package
        Id of a candidate of the case, `base`, `all`, `advised`, or ids of options with commas
        between them; with none it is the bare standard machine.
    without
        Ids of standard items left off.
    """

    package: str = ""
    without: tuple[str, ...] = ()
