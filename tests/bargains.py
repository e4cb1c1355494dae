"""Whether verdicts turn at the prices that the negotiation sheet tells."""

from optioneer.model.case import Case
from optioneer.study.bargain.answers import OptionBargain
from optioneer.study.bargain.bargain import BargainRequest, negotiation
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure
from optioneer.study.worth.valued_case import valued_case


def turned_as_told(case: Case) -> tuple[str, ...]:
    """Options of `case` that turn at a price, each asked again just below and just above it.

    Fails where a verdict does not turn there.
    """
    turning = [one for one in negotiation(BargainRequest(case)).options if one.turns_at is not None]
    for one in turning:
        near = max(0.002 * one.price, 1.0)
        assert _ordered(case, one, -near), one.option
        assert not _ordered(case, one, near), one.option
    return tuple(one.option for one in turning)


def _ordered(case: Case, one: OptionBargain, beside: float) -> bool:
    """Whether an option is ordered at a price beside the one at which it turns."""
    price = (one.turns_at or 0.0) + beside
    if price < 0.0:
        return True  # nobody is paid to take it
    changed, _ = with_changes(case, [Asked(Figure("price", one.option), price)])
    found = valued_case(changed)
    return one.option in found.options(best_package(found))
