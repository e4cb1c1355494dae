"""What a person says of a line that was in doubt: each answer as the line it makes."""

from optioneer.model.kinds.kind import NOT_PLACED
from optioneer.model.kinds.usual import usual_kinds
from optioneer.study.start.list_lines import ListLine


def of_kind(line: ListLine, kind: str) -> ListLine:
    """The line as one of a kind; a charge comes with the machine."""
    role = "charge" if usual_kinds().by_id[kind].charge else "option"
    return line.model_copy(update={"kind": kind, "role": role})


def asked_later(line: ListLine) -> ListLine:
    """The line as an option of which nobody has said yet what it is."""
    return line.model_copy(update={"kind": NOT_PLACED, "why": "To be asked: what it is."})


def comes_along(line: ListLine) -> ListLine:
    """The line as a part of the machine's price, a discount too; with no price it is left out."""
    if line.price is None:
        return left_out(line)
    return line.model_copy(update={"kind": "freight", "role": "charge", "asks": ""})


def left_out(line: ListLine, why: str = "left out as asked") -> ListLine:
    """The line as none of the purchase."""
    return line.model_copy(update={"role": "left out", "asks": "", "why": why})


def at_price(line: ListLine, price: float | None) -> ListLine:
    """The line at a price that is sure now; none leaves it out until somebody asks the dealer."""
    if price is None:
        return left_out(line, f"to be asked: {line.asks}")
    return line.model_copy(update={"price": price, "asks": ""})


def is_discount(line: ListLine) -> bool:
    """Whether it is asked of a line what it is taken off."""
    return line.role == "charge" and bool(line.asks) and (line.price or 0.0) < 0
