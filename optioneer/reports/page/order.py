"""What the dealer's order adds up to: machine, options, bundles, credits."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.machine import Bundle


@dataclass(frozen=True)
class OrderLine:
    """One line of the order: a charge is positive, a discount or credit negative [money]."""

    what: str
    price: Decimal


def order_lines(case: Case, options: Collection[str]) -> tuple[OrderLine, ...]:
    """The lines of an order of `options` (standards included), to the cent.

    Machine first, then what is ordered beyond standard in the order of the catalogue, then
    bundle discounts, then credits for standard items whose slot stays empty.
    """
    return (
        OrderLine(case.machine.name, _exact(case.machine.base_price)),
        *(OrderLine(option.name, _exact(option.price)) for option in ordered(case, options)),
        *(
            OrderLine(f"Bundle discount {bundle.id}", -_exact(bundle.discount))
            for bundle in complete_bundles(case, options)
        ),
        *(
            OrderLine(f"Credit for leaving off {option.name}", -_exact(option.delete_credit or 0.0))
            for option in credited(case, options)
        ),
    )


def ordered(case: Case, options: Collection[str]) -> tuple[Option, ...]:
    """What of `options` is ordered beyond standard, in the order of the catalogue."""
    return tuple(
        option
        for option in case.catalogue.options
        if option.option in options and not option.standard
    )


def complete_bundles(case: Case, options: Collection[str]) -> tuple[Bundle, ...]:
    """Bundles all of whose options are among `options`."""
    return tuple(bundle for bundle in case.bundles if set(bundle.options) <= set(options))


def credited(case: Case, options: Collection[str]) -> tuple[Option, ...]:
    """Standard items that give a credit because nothing of their slot is among `options`."""
    return tuple(
        slot.standard
        for slot in case.catalogue.slots
        if slot.standard is not None
        and slot.standard.delete_credit is not None
        and not any(option.option in options for option in slot.options)
    )


def _exact(price: float) -> Decimal:
    return Decimal(str(price))
