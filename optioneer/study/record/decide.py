"""A decision sealed: what was ordered, on which facts, with which figures."""

from collections.abc import Mapping
from datetime import datetime

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.machine import Package
from optioneer.model.terms import Dealer
from optioneer.study.advice.answers import Advice
from optioneer.study.advice.package import asked_answer
from optioneer.study.advice.verdicts import advice_on
from optioneer.study.cash.cash import PlanLedger, cash
from optioneer.study.problem.effort import Progress
from optioneer.study.record.facts import Planned, PlannedOption, PlannedStream, Sealed
from optioneer.study.worth.packages import with_package
from optioneer.study.worth.pursed import valued_as_paid


def decision(
    case: Case,
    package: Package,
    *,
    inputs: Mapping[str, str],
    note: str,
    time: datetime,
    version: str,
    progress: Progress | None = None,
) -> Sealed:
    """Everything that a decision rests on, to be put into the record.

    Parameters
    ----------
    inputs
        Text of each file of the case, by name.
    note
        Why, in the words of whoever decides.
    time
        When, with its zone.

    Raises
    ------
    RequestError
        The site's tasks cannot be put in order.
    CaseError
        A plan cannot be kept on these days or for this price.
    """
    found = with_package(valued_as_paid(case, progress=progress), package)
    advice = advice_on(found)
    answer = asked_answer(found, package)
    return Sealed(
        time=time,
        version=version,
        case=case.name,
        currency=case.machine.currency,
        fingerprint=case.fingerprint,
        note=note,
        inputs=dict(inputs),
        package=answer,
        advice=advice,
        planned=plan_to_compare(case, package, answer.options, advice),
    )


def plan_to_compare(
    case: Case, package: Package, held: tuple[str, ...], advice: Advice | None = None
) -> Planned:
    """What facts will be compared with.

    Parameters
    ----------
    held
        Everything it has on the machine, standards included.
    """
    ledger = used_ledger(case, package)
    verdicts = {each.option: each.verdict for each in advice.options} if advice else {}
    return Planned(
        order=case.dates.order,
        first_chips=case.dates.first_chips_date,
        retrofit_inflation=case.growth.retrofit_inflation,
        currency=case.machine.currency,
        base_price=case.machine.base_price,
        call_out=max(case.call_outs.values(), default=0.0),
        dealer=case.paying.dealer if case.paying else Dealer(),
        plan=ledger.answer.id if ledger else "",
        entries=ledger.answer.entries if ledger else (),
        options=tuple(
            PlannedOption(
                option=option.option,
                name=option.name,
                price=option.price,
                later_price=option.later_price,
                ordered=option.option in held,
                verdict=verdicts.get(option.option, ""),
                multiplier=_three(_multiplier(option, held)),
                downtime_days=option.downtime_days,
            )
            for option in case.catalogue.options
        ),
        streams=tuple(
            PlannedStream(
                stream=stream.id,
                name=stream.name or stream.id,
                chance=stream.mean_chance,
                years=(stream.years.low, stream.years.likely, stream.years.high),
                margin=(stream.margin.low, stream.margin.likely, stream.margin.high),
            )
            for stream in case.growth.stream
        ),
    )


def used_ledger(case: Case, package: Package) -> PlanLedger | None:
    """The money under the plan that the case uses, else the cheapest; none without any plan."""
    if case.paying is None or not case.paying.plan:
        return None
    study = cash(case, package)
    chosen = case.paying.use or study.answer.cheapest
    return next(one for one in study.ledgers if one.answer.id == chosen)


def _multiplier(option: Option, held: tuple[str, ...]) -> Triangular | None:
    return option.eased if option.eased_by in held and option.eased else option.multiplier


def _three(three: Triangular | None) -> tuple[float, float, float] | None:
    return None if three is None else (three.low, three.likely, three.high)
