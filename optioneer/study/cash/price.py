"""What the dealer is paid for a package, line by line."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import partial

from optioneer.model.case import Case
from optioneer.model.checks.candidates import fitted
from optioneer.model.checks.orderable import Orders
from optioneer.model.machine import Package
from optioneer.money.cents import to_cents

MACHINE = "machine"


@dataclass(frozen=True)
class PriceLine:
    """One line of the contract.

    Parameters
    ----------
    belongs_to
        Option or bundle; `machine` for the machine itself.
    what
        What the quote calls it.
    cents
        What is charged; credits and discounts are below zero.
    """

    belongs_to: str
    what: str
    cents: int


def quote_lines(case: Case, package: Package) -> tuple[PriceLine, ...]:
    """Everything that the price of a package is made of.

    Parameters
    ----------
    case
        A checked case.
    package
        A package that can be ordered.
    """
    return tuple(_lines(case, package))


def contract_cents(case: Case, package: Package) -> int:
    """The price of a package in whole cents."""
    return sum(line.cents for line in quote_lines(case, package))


def _lines(case: Case, package: Package) -> Iterator[PriceLine]:
    cents = partial(to_cents, currency=case.machine.currency)
    orders = Orders(case.catalogue)
    held = set(fitted(orders, package))
    yield PriceLine(MACHINE, case.machine.name, cents(case.machine.base_price))
    for option in case.catalogue.options:
        if option.option in held and not option.standard:
            yield PriceLine(option.option, option.name, cents(option.price))
    for bundle in case.bundles:
        if held.issuperset(bundle.options):
            yield PriceLine(bundle.id, f"bundle {bundle.id}", -cents(bundle.discount))
    filled = {orders.slot[name] for name in held}
    for option in case.catalogue.standards:
        if orders.slot[option.option] not in filled and option.delete_credit is not None:
            credit = -cents(option.delete_credit)
            yield PriceLine(option.option, f"without {option.name}", credit)
