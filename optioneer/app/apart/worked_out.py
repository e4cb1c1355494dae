"""What follows from valuing every package of a case: asked alike by the server and beside it.

What was valued is kept for the next question; no page and no framework is in it.
"""

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field, replace
from typing import Any

from optioneer.model.case import Case
from optioneer.model.machine import Package
from optioneer.study.advice.advice import preview_of, with_proof_and_break_evens
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.advice.package import asked_answer
from optioneer.study.advice.package_choice import Advised
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.advice.retrofits import Band, expected_bands
from optioneer.study.advice.verdicts import advice_on, sketched_advice_on
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.worth.packages import package_holding, with_package
from optioneer.study.worth.pursed import valued_as_paid
from optioneer.study.worth.valued_case import Valued

VALUING = 0.8
"""Part of the work on an advice that is the valuing of packages."""


@dataclass
class _One:
    """What is kept, and who works it out."""

    lock: threading.Lock = field(default_factory=threading.Lock)
    found: list[Any] = field(default_factory=list)


class Lately:
    """What was asked for last; asked for by two at once it is worked out once.

    Parameters
    ----------
    most
        How many are kept.
    """

    def __init__(self, most: int) -> None:
        self._most, self._lock = most, threading.Lock()
        self._kept: OrderedDict[Hashable, _One] = OrderedDict()

    def of(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """What is kept under a key, else what is made now."""
        with self._lock:
            one = self._kept.setdefault(key, _One())
            self._kept.move_to_end(key)
            while len(self._kept) > self._most:
                self._kept.popitem(last=False)
        with one.lock:
            if not one.found:
                one.found.append(make())
            return one.found[0]


_WHOLE = Lately(2)
"""Cases valued on all their futures, whose arrays they hold: the case, and it as played with."""

_FEW = Lately(8)
"""Cases valued on few: each is a tenth of one on all futures."""

_ADVICE = Lately(8)
"""The advice on them."""


def valued_case(case: Case, *, progress: Progress | None = None, few: bool = False) -> Valued:
    """`case` with every package valued, from which every question about packages is answered.

    On few futures for a preview. What is kept is frozen, so that visitors may share it. The
    packages that somebody wants to compare are no part of what is kept: the value of any package is
    known without them.
    """
    bare = _bare(case)
    found: Valued
    if few:
        request = AdviceRequest(bare)
        found = _FEW.of(bare, lambda: preview_of(request, progress=progress))
    else:
        found = _WHOLE.of(bare, lambda: valued_as_paid(bare, progress=progress))
    found = replace(found, case=found.case.model_copy(update={"packages": case.packages}))
    for candidate in case.packages:
        found = with_package(found, candidate)
    return found


def _bare(case: Case) -> Case:
    return case.model_copy(update={"packages": ()})


def advice(case: Case, *, progress: Progress | None = None) -> Advice:
    """The advice on `case`, the same as on the command line."""
    told = part_of(progress, 0.0, VALUING)
    found: Advice = _ADVICE.of(case, lambda: advice_on(valued_case(case, progress=told)))
    return found


def proven_advice(case: Case, *, progress: Progress | None = None) -> Advice:
    """The same with the proof of how near it is to the best that anyone could do."""
    before = Advised(valued_case(case, progress=progress), advice(case, progress=progress))
    return with_proof_and_break_evens(before, AdviceRequest(case, prove=True))


def preview_advice(case: Case, *, progress: Progress | None = None) -> Advice:
    """The advice on `case` on few of its futures: quick and a little less sure."""
    return sketched_advice_on(valued_case(case, progress=progress, few=True))


def preview_to_hand_over(case: Case, *, progress: Progress | None = None) -> tuple[Advice, Valued]:
    """The same with what it is made from, for another process to go on with."""
    return preview_advice(case, progress=progress), valued_case(_bare(case), few=True)


def keep_values(case: Case, found: Valued) -> None:
    """Keep what another process has valued on few futures."""
    _FEW.of(_bare(case), lambda: found)


def package(
    case: Case, held: frozenset[str], *, few: bool = False, progress: Progress | None = None
) -> PackageAnswer:
    """What the package that leaves `held` on the machine costs; on few futures for a preview.

    Raises
    ------
    RequestError
        The options cannot be ordered together.
    """
    asked = package_holding(case, "asked", held)
    found = with_package(valued_case(case, progress=progress, few=few), asked)
    return asked_answer(found, asked)


def bands(case: Case, ordered: Package, *, progress: Progress | None = None) -> tuple[Band, ...]:
    """What retrofits may cost after ordering a package, year by year."""
    return expected_bands(case, valued_case(case, progress=progress), ordered)
