"""What has become of a decision: money, retrofits and work as planned and as they came."""

from collections.abc import Iterator, Sequence
from datetime import date

from pydantic import Field

from optioneer.dates import DAYS_PER_YEAR
from optioneer.money.cents import amount_of
from optioneer.money.ledger import KINDS
from optioneer.study.answer import Answer
from optioneer.study.record.facts import (
    Arrived,
    Fitted,
    PaidFact,
    Planned,
    PlannedOption,
    PlannedStream,
    Recorded,
)


class MoneySince(Answer):
    """One kind of money; out is negative."""

    kind: str
    planned_cents: int = Field(description="Planned up to the day.")
    paid_cents: int = Field(description="Recorded up to the day.")
    planned_in_all_cents: int


class FittedSince(Answer):
    """One retrofit as it came, beside what was reckoned with."""

    option: str
    name: str
    date: date
    multiplier: float | None = Field(
        description="Its bill over the factory price, both in money of the order; none: no price."
    )
    planned_multiplier: tuple[float, float, float] | None
    downtime_days: float | None
    planned_downtime_days: float
    verdict: str = Field(description="What was advised before the order.")


class WorkSince(Answer):
    """One kind of work as it came or not, beside what was reckoned with."""

    stream: str
    name: str
    chance: float
    years: tuple[float, float, float]
    arrived: float | None = Field(description="Years after first chips; none: not so far.")
    expected: float = Field(description="Chance that it should have come by the day.")
    margin: float | None
    planned_margin: tuple[float, float, float]


class Since(Answer):
    """A plan against what has happened by a day."""

    day: date
    money: tuple[MoneySince, ...]
    fitted: tuple[FittedSince, ...]
    work: tuple[WorkSince, ...]
    mean_ratio: float | None = Field(
        description="Realised multipliers over the likeliest ones, their mean; none: no retrofit."
    )
    arrived: int = Field(description="Kinds of work that have come.")
    expected: float = Field(description="How many should have come by the day.")


def since(planned: Planned, facts: Recorded, day: date) -> Since:
    """A plan against the facts recorded up to a day.

    Parameters
    ----------
    facts
        The record; later facts are passed over.
    day
        Up to when.
    """
    known = [fact for fact in facts.facts if fact.date <= day]
    fitted = tuple(_fittings_since(planned, [fact for fact in known if isinstance(fact, Fitted)]))
    work = tuple(_work(planned, [fact for fact in known if isinstance(fact, Arrived)], day))
    ratios = [
        one.multiplier / one.planned_multiplier[1]
        for one in fitted
        if one.multiplier is not None and one.planned_multiplier and one.planned_multiplier[1]
    ]
    return Since(
        day=day,
        money=tuple(_money(planned, [fact for fact in known if isinstance(fact, PaidFact)], day)),
        fitted=fitted,
        work=work,
        mean_ratio=sum(ratios) / len(ratios) if ratios else None,
        arrived=sum(one.arrived is not None for one in work),
        expected=sum(one.expected for one in work),
    )


def _money(planned: Planned, paid: Sequence[PaidFact], day: date) -> Iterator[MoneySince]:
    for kind in KINDS:
        entries = [entry for entry in planned.entries if entry.kind == kind]
        facts = [fact.cents for fact in paid if fact.kind == kind]
        if kind != "regular" and (entries or facts):
            yield MoneySince(
                kind=kind,
                planned_cents=sum(entry.cents for entry in entries if entry.date <= day),
                paid_cents=sum(facts),
                planned_in_all_cents=sum(entry.cents for entry in entries),
            )


def _fittings_since(planned: Planned, done: Sequence[Fitted]) -> Iterator[FittedSince]:
    by_id = {option.option: option for option in planned.options}
    for fact in done:
        option = by_id.get(fact.option)
        yield FittedSince(
            option=fact.option,
            name=option.name if option else fact.option,
            date=fact.date,
            multiplier=_multiplier_paid(planned, option, fact),
            planned_multiplier=option.multiplier if option else None,
            downtime_days=fact.downtime_days,
            planned_downtime_days=option.downtime_days if option else 0.0,
            verdict=option.verdict if option else "",
        )


def _multiplier_paid(planned: Planned, option: PlannedOption | None, fact: Fitted) -> float | None:
    """The bill as a multiple of the price later, what prices rose since the order taken off."""
    if option is None:
        return None
    listed = option.price if option.later_price is None else option.later_price
    if not listed:
        return None
    years = (fact.date - planned.order).days / DAYS_PER_YEAR
    risen: float = (1 + planned.retrofit_inflation) ** years
    return amount_of(fact.cents, planned.currency) / (listed * risen)


def _work(planned: Planned, come: Sequence[Arrived], day: date) -> Iterator[WorkSince]:
    first = {fact.stream: fact for fact in reversed(come)}
    for stream in planned.streams:
        fact = first.get(stream.stream)
        yield WorkSince(
            stream=stream.stream,
            name=stream.name,
            chance=stream.chance,
            years=stream.years,
            arrived=None if fact is None else _years(planned, fact.date),
            expected=stream.chance * share_by(stream, _years(planned, day)),
            margin=fact.margin if fact else None,
            planned_margin=stream.margin,
        )


def _years(planned: Planned, day: date) -> float:
    return (day - planned.first_chips).days / DAYS_PER_YEAR


def share_by(stream: PlannedStream, years: float) -> float:
    """Share of the arrivals of a kind of work that come by so many years after first chips.

    Notes
    -----
    The cumulative distribution of the triangular one.

    References
    ----------
    Evans, Hastings and Peacock, Statistical Distributions, 3rd edition (2000), chapter 40,
    triangular distribution (from memory).
    """
    low, likely, high = stream.years
    if years >= high:
        return 1.0
    if years <= low:
        return 0.0
    if years <= likely:
        return (years - low) ** 2 / ((high - low) * (likely - low))
    return 1.0 - (high - years) ** 2 / ((high - low) * (high - likely))
