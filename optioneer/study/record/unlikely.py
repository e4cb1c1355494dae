"""What is unlikely about a fact that is to be recorded: asked about before it is, never refused."""

from collections.abc import Iterator, Sequence
from datetime import date

from optioneer.dates import DAYS_PER_YEAR
from optioneer.money.cents import amount_of
from optioneer.study.record.facts import Arrived, Fitted, PaidFact, Planned, RecordedFact

FAR_TOO_MUCH = 100
"""So many times what was expected is more likely a slip: cents taken for money, a key held down."""


def unlikely(fact: RecordedFact, planned: Planned) -> tuple[str, ...]:
    """What is unlikely about a fact, beside what was planned.

    Parameters
    ----------
    planned
        Of the last decision, or of the case as it is.

    Returns
    -------
    tuple
        Half a sentence each; none: nothing.
    """
    early = [_early(fact.date, planned.order)] if fact.date < planned.order else []
    return (*early, *_too_much(fact, planned))


def _early(day: date, order: date) -> str:
    return f"{day.isoformat()} is before the order of {order.isoformat()}"


def _too_much(fact: RecordedFact, planned: Planned) -> Iterator[str]:
    for what, found, expected in _amounts(fact, planned):
        if expected > 0 and found >= FAR_TOO_MUCH * expected:
            times = f"{found / expected:,.0f} times the expected {expected:,.2f}"
            yield f"{what} of {found:,.2f} is {times}"


def _amounts(fact: RecordedFact, planned: Planned) -> Sequence[tuple[str, float, float]]:
    """What each figure of a fact is, it itself, and what was expected; 0: nothing known."""
    if isinstance(fact, PaidFact):
        return [
            (
                "a payment",
                amount_of(abs(fact.cents), planned.currency),
                _payment(fact.kind, planned),
            )
        ]
    if isinstance(fact, Fitted):
        return _retrofit(fact, planned)
    return [("a margin", fact.margin or 0.0, _margin(fact, planned))]


def _payment(kind: str, planned: Planned) -> float:
    """All that is planned of a kind; else of the largest kind; else the machine's price [money]."""
    totals: dict[str, int] = {}
    for entry in planned.entries:
        totals[entry.kind] = totals.get(entry.kind, 0) + entry.cents
    largest = max((abs(cents) for cents in totals.values()), default=0)
    return amount_of(abs(totals.get(kind, 0)) or largest, planned.currency) or planned.base_price


def _retrofit(fact: Fitted, planned: Planned) -> Sequence[tuple[str, float, float]]:
    option = next((one for one in planned.options if one.option == fact.option), None)
    if option is None:
        return ()
    years = (fact.date - planned.order).days / DAYS_PER_YEAR
    risen: float = (1 + planned.retrofit_inflation) ** years
    multiplier = option.multiplier[1] if option.multiplier else 1.0
    bill = option.price * multiplier * risen
    days = option.downtime_days
    return [
        ("a bill", amount_of(fact.cents, planned.currency), bill),
        ("a visit", amount_of(fact.call_out_cents, planned.currency), planned.call_out * risen),
        ("a standstill in days", fact.downtime_days or 0.0, days),
    ]


def _margin(fact: Arrived, planned: Planned) -> float:
    stream = next((one for one in planned.streams if one.stream == fact.stream), None)
    return stream.margin[1] if stream else 0.0
