"""What the dealer's order adds up to: machine, options, bundles, credits."""

from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal

from optioneer.model.case import Case
from optioneer.study.cash.price import (
    complete_bundles,
    deletions,
    names_together,
    options_ordered,
)


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
        *(
            OrderLine(option.name, _exact(option.price))
            for option in options_ordered(case, options)
        ),
        *(
            OrderLine(f"Ordered together: {names_together(case, bundle)}", -_exact(bundle.discount))
            for bundle in complete_bundles(case, options)
        ),
        *(
            OrderLine(f"Credit for leaving off {option.name}", -_exact(option.delete_credit or 0.0))
            for option in deletions(case, options)
        ),
    )


def _exact(price: float) -> Decimal:
    return Decimal(str(price))
