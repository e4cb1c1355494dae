"""Made-up answers in the place of the study, which note what the commands asked for."""

from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType, ModuleType
from typing import Any, NamedTuple

from typer.testing import Result

from optioneer.errors import CaseError, Fault, RequestError
from optioneer.model.case import Case
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.advice.request import AdviceRequest, PackageRequest
from optioneer.study.compare.answers import Comparison
from optioneer.study.compare.compare import ComparisonRequest
from optioneer.study.problem.effort import Progress
from optioneer.study.problem.executor import Pool
from optioneer.study.whatif.answers import Shifts, Turning, WhatIf
from optioneer.study.whatif.whatif import TurningRequest, WhatIfRequest
from tests import comparisons, shop, whatifs

FAULTS = (
    Fault("options.csv, row 14, price", "-1200 is below zero", "Prices are 0 or more."),
    Fault("machine.toml, [dates] order", "is missing"),
)

Run = Callable[..., Result]

WHAT_IF = ("WhatIfRequest", "TurningRequest", "range_of", "values_between")
"""Kept as they are."""


class Asked:
    """What the commands asked the study functions for."""

    def __init__(self) -> None:
        self.calls: list[Any] = []
        self.pools: list[Pool | None] = []

    def _note(self, request: object, progress: Progress) -> None:
        self.calls.append(request)
        progress(1.0)

    def advice(
        self, request: AdviceRequest, *, progress: Progress, pool: Pool | None = None
    ) -> Advice:
        self._note(request, progress)
        self.pools.append(pool)
        if request.weight is not None:
            return shop.cautious_advice()
        answer = shop.advice_with_break_evens() if request.break_even else shop.advice()
        answer = shop.proven(answer) if request.prove else answer
        return answer if request.aim is None else shop.precise(answer)

    def what_if(self, request: WhatIfRequest, *, progress: Progress) -> WhatIf:
        self._note(request, progress)
        return whatifs.what_if()

    def shifts(self, request: WhatIfRequest, *, progress: Progress) -> Shifts:
        return self.what_if(request, progress=progress)

    def turning(
        self, request: TurningRequest, *, progress: Progress, pool: Pool | None = None
    ) -> Turning:
        self._note(request, progress)
        self.pools.append(pool)
        return whatifs.turning()

    def package_value(self, request: PackageRequest, *, progress: Progress) -> PackageAnswer:
        self._note(request, progress)
        return shop.advice().advised.model_copy(update={"id": "asked"})

    def comparison(
        self, request: ComparisonRequest, *, progress: Progress, pool: Pool | None = None
    ) -> Comparison:
        self._note(request, progress)
        self.pools.append(pool)
        return comparisons.comparison()


NOTICE = Fault("paying.toml", "this version does not read it")


class Reading(NamedTuple):
    case: Case
    notices: tuple[Fault, ...]
    texts: Mapping[str, str] = MappingProxyType({})


def reading(path: Path) -> Reading:
    if path.name == "faulty":
        raise CaseError(FAULTS)
    if path.name == "other-shop":
        return Reading(comparisons.cases()[1], ())
    return Reading(shop.case(), (NOTICE,) if path.name == "noted" else ())


def write_starter(path: Path) -> None:
    if path.exists():
        raise RequestError(f"{path}: is there already. Name a folder that is not.")
    path.mkdir()


def module(name: str, **functions: object) -> ModuleType:
    made = ModuleType(name)
    vars(made).update(functions)
    return made
