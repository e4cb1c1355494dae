"""What the dealer is paid for a package, line by line."""

from collections.abc import Collection
from dataclasses import dataclass
from functools import partial

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Bundle, Package
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
    package
        A package that can be ordered.
    """
    cents = partial(to_cents, currency=case.machine.currency)
    held = everything_fitted(Orders(case.catalogue), package)
    credits_ = ((one, -cents(one.delete_credit or 0.0)) for one in deletions(case, held))
    return (
        PriceLine(MACHINE, case.machine.name, cents(case.machine.base_price)),
        *(PriceLine(one.option, one.name, cents(one.price)) for one in options_ordered(case, held)),
        *(
            PriceLine(
                bundle.id, f"together: {names_together(case, bundle)}", -cents(bundle.discount)
            )
            for bundle in complete_bundles(case, held)
        ),
        *(PriceLine(one.option, f"without {one.name}", credit) for one, credit in credits_),
    )


def names_together(case: Case, bundle: Bundle) -> str:
    """The names of the options that a bundle is made of."""
    return ", ".join(case.catalogue.by_id[option].name for option in bundle.options)


def contract_cents(case: Case, package: Package) -> int:
    """The price of a package in whole cents."""
    return sum(line.cents for line in quote_lines(case, package))


def options_ordered(case: Case, options: Collection[str]) -> tuple[Option, ...]:
    """What of `options` is ordered beyond standard, in the order of the catalogue."""
    return tuple(
        option
        for option in case.catalogue.options
        if option.option in options and not option.standard
    )


def complete_bundles(case: Case, options: Collection[str]) -> tuple[Bundle, ...]:
    """Bundles all of whose options are among `options`."""
    return tuple(bundle for bundle in case.bundles if set(bundle.options) <= set(options))


def deletions(case: Case, options: Collection[str]) -> tuple[Option, ...]:
    """Standard items that give a credit because nothing of their slot is among `options`."""
    slot = Orders(case.catalogue).slot
    filled = {slot[name] for name in options}
    return tuple(
        option
        for option in case.catalogue.standards
        if option.delete_credit is not None and slot[option.option] not in filled
    )
