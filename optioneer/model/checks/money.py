"""Checks on currency, dates and call-outs."""

from collections.abc import Iterator
from datetime import timedelta

from babel.numbers import list_currencies

from optioneer.errors import Fault
from optioneer.model.case import Case

FILE = "machine.toml"
RESERVED = "none"
"""A call-out of this name could not be told from no visit."""


def currency_faults(case: Case) -> Iterator[Fault]:
    """A code that is no currency of ISO 4217."""
    code = case.machine.currency
    known = list_currencies()
    if code not in known:
        allowed = "Write an ISO 4217 code such as EUR, USD or JPY."
        yield Fault(f"{FILE}, machine, currency", f"there is no currency '{code}'", allowed)


def date_faults(case: Case) -> Iterator[Fault]:
    """First chips before the order, or told twice."""
    dates = case.dates
    if dates.first_chips is not None and dates.lead is not None:
        where = f"{FILE}, dates, lead"
        yield Fault(where, "both `lead` and `first_chips` are given", "Keep one of the two.")
    if dates.first_chips is not None and dates.first_chips < dates.order:
        what = f"{dates.first_chips} is before the order of {dates.order}"
        yield Fault(f"{FILE}, dates, first_chips", what, "Write the order date or a later one.")


def call_out_faults(case: Case) -> Iterator[Fault]:
    """A call-out with a name that means no visit."""
    if RESERVED in case.call_outs:
        what = "'none' means no visit in options.csv"
        yield Fault(f"{FILE}, call_out, none", what, "Give the call-out another name.")


def notes(case: Case) -> Iterator[Fault]:
    """Dates that do not agree, and visits that cost nothing because nothing was said."""
    dates = case.dates
    stages = timedelta(weeks=dates.build_weeks + dates.ship_weeks, days=dates.commission_days)
    if dates.first_chips is not None and dates.first_chips < dates.order + stages:
        what = f"{dates.first_chips} is before building, shipping and commissioning are over"
        yield Fault(f"{FILE}, dates, first_chips", what, "The date of first chips is used.")
    free = [name for name, charge in case.call_outs.items() if charge == 0]
    used = {option.call_out for option in case.catalogue.options if option.retrofittable}
    for name in free:
        if name in used:
            what = "a visit costs nothing"
            yield Fault(f"{FILE}, call_out, {name}", what, "Give the charge of one visit.")
