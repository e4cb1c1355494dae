"""Answers kept by the content of what they are about; the only module that says `cache_data`.

Keys: the texts or the case itself (frozen models hash by their whole content), and the version of
the engine. Only answers are kept, never arrays of futures.
"""

import hashlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import streamlit as st

import optioneer
from optioneer.errors import CaseError, Fault, RequestError
from optioneer.model.case import Case
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.problem.effort import Progress
from optioneer.study.whatif.answers import Turning

if TYPE_CHECKING:  # the engine is imported when something is asked of it
    from optioneer.model.machine import Package
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.advice.retrofits import Band
    from optioneer.study.bargain.answers import Bargain
    from optioneer.study.cash.answers import DatedCost
    from optioneer.study.cash.cash import CashStudy
    from optioneer.study.cash.cures import Cure
    from optioneer.study.cash.dates import Delay
    from optioneer.study.cash.delays import DelayedPlan
    from optioneer.study.compare.answers import Comparison
    from optioneer.study.compare.currencies import Exchange
    from optioneer.study.papers.dossier import Dossier
    from optioneer.study.ready.answers import Readiness
    from optioneer.study.record.facts import Sealed
    from optioneer.study.whatif.answers import OneAtATime
    from optioneer.study.worth.figures import Figure
    from optioneer.study.worth.valued_case import Valued


MOST_KEPT = 64
"""Answers of each kind that are kept."""

P = ParamSpec("P")
R = TypeVar("R")


def kept(function: Callable[P, R]) -> Callable[P, R]:
    """The function with its answers kept; parameters with an underscore are no part of the key."""
    return st.cache_data(max_entries=MOST_KEPT, show_spinner=False)(function)


@dataclass(frozen=True)
class Read:
    """What was made of the texts of a draft.

    Parameters
    ----------
    case
        The case, first chips dated by its site where that decides; none where there are faults.
    stated
        The case exactly as the texts state it.
    faults
        What is wrong, in the words of `optioneer check`.
    notices
        What is no fault but should be known.
    """

    case: Case | None
    faults: tuple[Fault, ...] = ()
    notices: tuple[Fault, ...] = ()
    stated: Case | None = None


def content(case: Case) -> str:
    """What tells one case from another, for the keys of errands."""
    return hashlib.sha256(case.model_dump_json().encode()).hexdigest()


def read(name: str, texts: Mapping[str, str]) -> Read:
    """The case that texts by file name state, or everything that is wrong with them."""
    return _read(name, tuple(sorted(texts.items())), optioneer.__version__)


@kept
def _read(name: str, texts: tuple[tuple[str, str], ...], version: str) -> Read:  # noqa: ARG001 - part of the key
    from optioneer.files.case.read import reading_of  # noqa: PLC0415 - pages that need it not load it not
    from optioneer.study.ready.first_chips import with_first_chips  # noqa: PLC0415 - the engine loads when asked

    try:
        found = reading_of(name, dict(texts))
        return Read(with_first_chips(found.case), notices=found.notices, stated=found.case)
    except CaseError as error:
        return Read(None, faults=error.faults)
    except RequestError as error:  # its site gives no day of first chips
        where, _, what = str(error).partition(": ")
        return Read(None, faults=(Fault(where, what.removesuffix(".")),))


def valued(case: Case, progress: Progress | None = None, *, few: bool = False) -> "Valued":
    """`case` with every package valued, from which every question about packages is answered.

    On few futures for a preview. Few answers are kept, as they hold arrays of futures; they are
    frozen, so that visitors may share them. The packages that somebody wants to compare are no part
    of the key: the value of any package is known without them.
    """
    from optioneer.study.worth.packages import with_package  # noqa: PLC0415 - the engine loads when asked

    bare = case.model_copy(update={"packages": ()})
    found = (_few_valued if few else _valued)(bare, optioneer.__version__, progress)
    found = replace(found, case=found.case.model_copy(update={"packages": case.packages}))
    for candidate in case.packages:
        found = with_package(found, candidate)
    return found


@st.cache_resource(max_entries=3, show_spinner=False)
def _valued(case: Case, version: str, _progress: Progress | None) -> "Valued":  # noqa: ARG001 - part of the key
    from optioneer.study.worth.pursed import valued_as_paid as found  # noqa: PLC0415 - the engine loads when asked

    return found(case, progress=_progress)


@st.cache_resource(max_entries=8, show_spinner=False)  # each is a tenth of one on all futures
def _few_valued(case: Case, version: str, _progress: Progress | None) -> "Valued":  # noqa: ARG001 - part of the key
    from optioneer.study.advice.advice import previewed  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked

    return previewed(AdviceRequest(case), progress=_progress)


def advice(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case`, the same as on the command line."""
    from optioneer.study.advice.verdicts import advice_on  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.problem.effort import part_of  # noqa: PLC0415 - the engine loads when asked

    def make() -> Advice:
        return advice_on(valued(case, part_of(progress, 0.0, VALUING)))

    return any_answer(("advice", content(case)), make)


def proven(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case` with the proof of how near it is to the best that anyone could do."""
    from optioneer.study.advice.advice import completed  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.package_choice import Advised  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked

    def make() -> Advice:
        answer = advice(case, progress)
        before = Advised(valued(case, progress), answer)
        return completed(before, AdviceRequest(case, prove=True))

    return any_answer(("proven", content(case)), make)


VALUING = 0.8
"""Part of the work on an advice that is the valuing of packages."""


def preview(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case` on few of its futures: quick and a little less sure."""
    from optioneer.study.advice.verdicts import sketched_advice_on  # noqa: PLC0415 - the engine loads when asked

    key = ("preview", content(case))
    return any_answer(key, lambda: sketched_advice_on(valued(case, progress, few=True)))


FEW = 512
"""Futures of a preview."""


def turning(
    case: Case, figure: "Figure", values: tuple[float, ...], told: Progress | None, *, few: bool
) -> Turning:
    """Where along some values of a figure each verdict turns; on few futures for a preview."""
    from optioneer.study.problem.futures import with_draws  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.whatif.whatif import TurningRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.whatif.whatif import turning as turns  # noqa: PLC0415 - the engine loads when asked

    case = with_draws(case, min(FEW, case.growth.futures)) if few else case
    request = TurningRequest(case, figure=figure, values=values)
    key = (content(case), str(figure), values)
    return any_answer(key, lambda: turns(request, progress=told))


def ranges(case: Case, told: Progress | None = None) -> "OneAtATime":
    """The advice at both ends of the range of every figure, each alone."""
    from optioneer.study.whatif.one_at_a_time import (  # noqa: PLC0415 - the engine loads when asked
        RangesRequest,
        one_at_a_time,
    )

    key = ("ranges", content(case))
    return any_answer(key, lambda: one_at_a_time(RangesRequest(case), progress=told))


def package(
    case: Case, held: frozenset[str], told: Progress | None = None, *, few: bool = False
) -> PackageAnswer:
    """What the package that leaves `held` on the machine costs; on few futures for a preview.

    Raises
    ------
    RequestError
        The options cannot be ordered together.
    """
    from optioneer.study.advice.package import asked_answer  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.worth.packages import package_holding, with_package  # noqa: PLC0415 - the engine loads when asked

    asked = package_holding(case, "asked", held)
    found = with_package(valued(case, told, few=few), asked)
    return asked_answer(found, asked)


def comparison(
    cases: tuple[Case, ...],
    exchange: "Exchange",
    told: Progress | None = None,
    *,
    few: bool = False,
) -> "Comparison":
    """Packages and quotes side by side; on few futures for a preview."""
    from optioneer.study.compare.compare import ComparisonRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.compare.compare import comparison as compared  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.problem.futures import with_draws  # noqa: PLC0415 - the engine loads when asked

    if few:
        cases = tuple(with_draws(case, min(FEW, case.growth.futures)) for case in cases)
    key = (tuple(content(case) for case in cases), repr(exchange))
    request = ComparisonRequest(cases, exchange=exchange)
    return any_answer(key, lambda: compared(request, progress=told))


def cash(
    case: Case, package: "Package", *, planned: Case | None = None, delay: "Delay | None" = None
) -> "CashStudy":
    """The money of a package under every way of paying, works on the site included.

    Parameters
    ----------
    case
        Under the conditions that are tried.
    planned
        The case as it is, which the works on the site are taken from; default: the same.
    """
    from optioneer.study.cash.cash import cash as studied  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.cash.dates import ON_TIME  # noqa: PLC0415 - the engine loads when asked

    late = delay or ON_TIME
    paid = works(planned or case, package)
    key = ("cash", content(case), package, late, paid)
    return any_answer(key, lambda: studied(case, package, works=paid, delay=late))


def works(case: Case, package: "Package") -> "tuple[DatedCost, ...]":
    """What getting the site ready for a package takes out of the account."""
    from optioneer.study.cash.works import site_works  # noqa: PLC0415 - the engine loads when asked

    return any_answer(("works", content(case), package), lambda: site_works(case, package))


def unpriced(case: Case, package: "Package") -> tuple[str, ...]:
    """What the site needs for a package and nobody has priced yet."""
    from optioneer.study.cash.works import unpriced_works  # noqa: PLC0415 - the engine loads when asked

    return any_answer(("unpriced", content(case), package), lambda: unpriced_works(case, package))


def delayed(
    case: Case, package: "Package", delays: "Mapping[str, Delay]"
) -> "tuple[DelayedPlan, ...]":
    """Every way of paying under every delay."""
    from optioneer.study.cash.delays import delayed_plans  # noqa: PLC0415 - the engine loads when asked

    key = ("delayed", content(case), package, tuple(delays.items()))
    found = partial(delayed_plans, case, package, delays=delays)
    return any_answer(key, lambda: found(works=works(case, package)))


def cures(
    case: Case, package: "Package", plan: str, study: "CashStudy", paid: "tuple[DatedCost, ...]"
) -> "tuple[Cure, ...]":
    """What could be done where a way of paying takes the account too low."""
    from optioneer.study.cash.cures import cures as found  # noqa: PLC0415 - the engine loads when asked

    key = ("cures", content(case), package, plan, paid)
    return any_answer(key, lambda: found(case, package, study, paid, plan=plan))


def bands(case: Case, package: "Package", told: Progress | None = None) -> "tuple[Band, ...]":
    """What retrofits may cost after ordering a package, year by year."""
    from optioneer.study.advice.retrofits import expected_bands  # noqa: PLC0415 - the engine loads when asked

    key = ("bands", content(case), package)
    return any_answer(key, lambda: expected_bands(case, valued(case, told), package))


def readiness(
    case: Case, package: "Package", shifts: tuple[tuple[str, float], ...] = ()
) -> "Readiness":
    """Whether the site is ready for a package, with tasks so many days longer."""
    from optioneer.study.ready.ready import readiness as found  # noqa: PLC0415 - the engine loads when asked

    key = ("ready", content(case), package, shifts)
    return any_answer(key, lambda: found(case, package, shifts=dict(shifts)))


def asked_otherwise(request: "AdviceRequest", told: Progress | None = None) -> Advice:
    """The advice as it is asked for: with caution, within a budget, more surely, with break-evens.

    Raises
    ------
    RequestError
        No package can be had within the budget.
    """
    from optioneer.study.advice.advice import advice as asked  # noqa: PLC0415 - the engine loads when asked

    return any_answer(("otherwise", repr(request)), lambda: asked(request, progress=told))


def whole_answer(case: Case) -> "Dossier":
    """Everything that a report tells of a case."""
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.papers.dossier import dossier  # noqa: PLC0415 - the engine loads when asked

    request = AdviceRequest(case, prove=True)
    return any_answer(("dossier", content(case)), lambda: dossier(request))


def with_the_machine(
    case: Case, package: str | None, plan: str, told: Progress | None = None
) -> Any:
    """The account with the machine in it, and what a lender sees of one way of paying."""
    from optioneer.study.account.account import (  # noqa: PLC0415 - the engine loads when asked
        AccountRequest,
        asked_account,
    )
    from optioneer.study.account.cover import lenders_view, lent_plan  # noqa: PLC0415 - the engine loads when asked

    found, answer = asked_account(AccountRequest(case, package=package), progress=told)
    return found, answer, lenders_view(found, answer, lent_plan(found.case, answer, plan))


def dealings(case: Case, told: Progress | None = None) -> "Bargain":
    """What every option is worth with the order, and what else to ask the dealer for."""
    from optioneer.study.bargain.bargain import BargainRequest, negotiation  # noqa: PLC0415 - the engine loads when asked

    key = ("bargain", content(case))
    return any_answer(key, lambda: negotiation(BargainRequest(case), progress=told))


def sealed_decision(case: Case, package: "Package", **rest: Any) -> "Sealed":
    """A decision on a package, as it is put into the record."""
    from optioneer.study.record.decide import decision  # noqa: PLC0415 - the engine loads when asked

    return decision(case, package, **rest)


def results_file(case: Case) -> bytes:
    """The results of a case as a workbook."""
    from optioneer.reports.sheets.results import Results, results_workbook  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.advice import advised  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.cash.price import quote_lines  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.papers.likeliest_account import likeliest_account  # noqa: PLC0415 - the engine loads when asked

    def make() -> bytes:
        found = advised(AdviceRequest(case))
        ways = case.paying is not None and case.paying.plan
        return results_workbook(
            Results(
                case=case,
                advice=found.advice,
                lines=quote_lines(case, found.package),
                account=likeliest_account(found.valued, found.package),
                cash=cash(case, found.package) if ways else None,
                version=optioneer.__version__,
            )
        )

    return any_answer(("results", content(case)), make)


def any_answer(key: Any, make: Callable[[], R]) -> R:
    """Keep whatever `make` answers under a key of frozen facts."""
    return _any(key, optioneer.__version__, make)


@kept
def _any(key: Any, version: str, _make: Callable[[], R]) -> R:  # noqa: ARG001 - the key
    return _make()
