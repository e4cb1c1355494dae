"""Checks on currency, dates and call-outs."""

from collections.abc import Iterator
from datetime import timedelta

from babel.numbers import list_currencies

from optioneer.errors import Fault
from optioneer.model.case import Case
from optioneer.model.machine import LATEST

FILE = "machine.toml"
RESERVED = "none"
"""A call-out of this name could not be told from no visit."""


def currency_faults(case: Case) -> Iterator[Fault]:
    """A code that is no currency of ISO 4217."""
    code = case.machine.currency
    known = list_currencies()
    if code in known and any(code.startswith(start) for start in NO_MONEY.split()):
        what = f"'{code}' is no money: a metal, a fund, a test or none"
        yield Fault(f"{FILE}, machine, currency", what, "Write a code such as EUR, USD or JPY.")
    if code not in known:
        allowed = "Write an ISO 4217 code such as EUR, USD or JPY."
        yield Fault(f"{FILE}, machine, currency", f"there is no currency '{code}'", allowed)


NO_MONEY = "XA XB XD XE XPD XPT XS XTS XUA XX XXX"
"""How codes begin, or are, that stand for metals, funds, tests or nothing."""

LEAST_PRICE = 1.0
"""What the least machine that can be ordered costs, credits and discounts off [money]."""


def price_faults(case: Case) -> Iterator[Fault]:
    """A machine that costs nothing, or less when all credits and discounts are taken off."""
    base = case.machine.base_price
    if base < LEAST_PRICE:
        what = f"{base:.12g} is no price of a machine"
        yield Fault(f"{FILE}, machine, base_price", what, "Write what the standard machine costs.")
        return
    least = least_price(case)
    if least < LEAST_PRICE:
        what = (
            f"{base:,.2f} is used up by delete_credits and bundle discounts: a package could cost "
            f"{least:,.2f}"
        )
        allowed = "Check the base price, each delete_credit and each discount."
        yield Fault(f"{FILE}, machine, base_price", what, allowed)


def least_price(case: Case) -> float:
    """No package costs less: all standard items left off, all discounts that exceed their options.

    Parameters
    ----------
    case
        A case whose options are known.
    """
    given_back = sum(option.delete_credit or 0.0 for option in case.catalogue.standards)
    prices = {
        option.option: 0.0 if option.standard else option.price for option in case.catalogue.options
    }
    gains = sum(
        max(0.0, bundle.discount - sum(prices.get(name, 0.0) for name in bundle.options))
        for bundle in case.bundles
    )
    return case.machine.base_price - given_back - gains


def date_faults(case: Case) -> Iterator[Fault]:
    """First chips before the order, or told twice."""
    dates = case.dates
    if dates.first_chips is not None and dates.lead is not None:
        where = f"{FILE}, dates, lead"
        yield Fault(where, "both `lead` and `first_chips` are given", "Keep one of the two.")
    if dates.first_chips is not None and dates.first_chips < dates.order:
        what = f"{dates.first_chips} is before the order of {dates.order}"
        yield Fault(f"{FILE}, dates, first_chips", what, "Write the order date or a later one.")
    if dates.first_chips_date > LATEST:
        what = f"first chips would come on {dates.first_chips_date}"
        yield Fault(f"{FILE}, dates, order", what, f"At the latest on {LATEST}.")


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
