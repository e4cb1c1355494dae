"""Answers kept by the content of what they are about; the only module that says `cache_data`.

Keys: the texts or the case itself (frozen models hash by their whole content), and the version of
the engine. Only answers are kept, never arrays of futures.
"""

import hashlib
from collections.abc import Callable, Mapping
from functools import partial
from typing import TYPE_CHECKING, Any, ParamSpec, TypeVar

import streamlit as st

import optioneer
from optioneer.app.apart import reading
from optioneer.app.apart.aside import ASIDE
from optioneer.app.apart.reading import Read
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


def content(case: Case) -> str:
    """What tells one case from another, for the keys of errands."""
    return hashlib.sha256(case.model_dump_json().encode()).hexdigest()


def read(name: str, texts: Mapping[str, str], *, by: "Callable[..., Read] | None" = None) -> Read:
    """The case that texts by file name state, or everything that is wrong with them.

    `by` reads them, with the arguments of `reading.read`; none: this process.
    """
    return _read(name, tuple(sorted(texts.items())), optioneer.__version__, by or reading.read)


@kept
def _read(
    name: str,
    texts: tuple[tuple[str, str], ...],
    version: str,  # noqa: ARG001 - part of the key
    _by: Callable[..., Read],
) -> Read:
    return _by(name, texts)


def valued_case(case: Case, progress: Progress | None = None) -> "Valued":
    """`case` with every package valued on few futures, for what follows a slider."""
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    return worked_out.valued_case(case, progress=progress, few=True)


def advice(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case`, the same as on the command line."""
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    work = partial(ASIDE.done, worked_out.advice, case, progress=progress)
    return any_answer(("advice", content(case)), work)


def proven(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case` with the proof of how near it is to the best that anyone could do."""
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    work = partial(ASIDE.done, worked_out.proven_advice, case, progress=progress)
    return any_answer(("proven", content(case)), work)


def preview(case: Case, progress: Progress | None = None) -> Advice:
    """The advice on `case` on few of its futures: quick and a little less sure."""
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    key = ("preview", content(case))
    return any_answer(key, partial(worked_out.preview_advice, case, progress=progress))


def preview_aside(case: Case) -> Advice:
    """The same, worked out beside the server; this process goes on with it."""
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    def make() -> Advice:
        found, valued = ASIDE.done(worked_out.preview_to_hand_over, case, progress=None)
        worked_out.keep_values(case, valued)
        return found

    return any_answer(("preview", content(case)), make)


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
    return any_answer(key, partial(ASIDE.done, turns, request, progress=told))


def ranges(case: Case, told: Progress | None = None) -> "OneAtATime":
    """The advice at both ends of the range of every figure, each alone."""
    from optioneer.study.whatif.one_at_a_time import (  # noqa: PLC0415 - the engine loads when asked
        RangesRequest,
        one_at_a_time,
    )

    key = ("ranges", content(case))
    return any_answer(key, partial(ASIDE.done, one_at_a_time, RangesRequest(case), progress=told))


def package(
    case: Case, held: frozenset[str], told: Progress | None = None, *, few: bool = False
) -> PackageAnswer:
    """What the package that leaves `held` on the machine costs; on few futures for a preview.

    Raises
    ------
    RequestError
        The options cannot be ordered together.
    """
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    if few:
        return worked_out.package(case, held, few=True, progress=told)
    return ASIDE.done(worked_out.package, case, held, progress=told)


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
    return any_answer(key, partial(ASIDE.done, compared, request, progress=told))


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


def unpriced_needs(case: Case, package: "Package") -> tuple[str, ...]:
    """What the site needs for a package and nobody has priced yet."""
    from optioneer.study.cash.works import unpriced_works  # noqa: PLC0415 - the engine loads when asked

    return any_answer(("unpriced", content(case), package), lambda: unpriced_works(case, package))


def plans_delayed(
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
    from optioneer.app.apart import worked_out  # noqa: PLC0415 - the engine loads when asked

    key = ("bands", content(case), package)
    return any_answer(key, partial(ASIDE.done, worked_out.bands, case, package, progress=told))


def readiness(
    case: Case, package: "Package", shifts: tuple[tuple[str, float], ...] = ()
) -> "Readiness":
    """Whether the site is ready for a package, with tasks so many days longer."""
    from optioneer.study.ready.ready import readiness as found  # noqa: PLC0415 - the engine loads when asked

    key = ("ready", content(case), package, shifts)
    return any_answer(key, lambda: found(case, package, shifts=dict(shifts)))


def advice_otherwise(request: "AdviceRequest", told: Progress | None = None) -> Advice:
    """The advice as it is asked for: with caution, within a budget, more surely, with break-evens.

    Raises
    ------
    RequestError
        No package can be had within the budget.
    """
    from optioneer.study.advice.advice import advice as asked  # noqa: PLC0415 - the engine loads when asked

    return any_answer(
        ("otherwise", repr(request)), partial(ASIDE.done, asked, request, progress=told)
    )


def whole_answer(case: Case) -> "Dossier":
    """Everything that a report tells of a case."""
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.papers.dossier import dossier  # noqa: PLC0415 - the engine loads when asked

    request = AdviceRequest(case, prove=True)
    return any_answer(
        ("dossier", content(case)), partial(ASIDE.done, dossier, request, progress=None)
    )


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
    return any_answer(key, partial(ASIDE.done, negotiation, BargainRequest(case), progress=told))


def sealed_decision(case: Case, package: "Package", **rest: Any) -> "Sealed":
    """A decision on a package, as it is put into the record."""
    from optioneer.study.record.decide import decision  # noqa: PLC0415 - the engine loads when asked

    return decision(case, package, **rest)


def results_file(case: Case) -> bytes:
    """The results of a case as a workbook."""
    from optioneer.reports.sheets.results import Results, results_workbook  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.advice import advice_with_values  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.request import AdviceRequest  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.cash.price import quote_lines  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.papers.likeliest_account import likeliest_account  # noqa: PLC0415 - the engine loads when asked

    def make() -> bytes:
        found = advice_with_values(AdviceRequest(case))
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
