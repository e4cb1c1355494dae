"""What is asked of a case: everything that an answer hangs on, frozen."""

from dataclasses import KW_ONLY, dataclass
from functools import cached_property

from optioneer.model.case import Case
from optioneer.study.cash.financing import before_tax
from optioneer.study.cash.plans import counting_on
from optioneer.study.problem.futures import with_draws
from optioneer.study.ready.first_chips import with_first_chips


@dataclass(frozen=True)
class Request:
    """A question about a case; two that are equal have the same answer.

    Hashed and compared by content. A question is asked by one function of its request, and of a
    `progress` that is told how far the work is, 0..1: it is no part of the question, and may raise
    to stop the work.

    Parameters
    ----------
    case
        A checked case, as its files state it.
    futures, seed
        Of the draws, instead of the case's own.
    plan
        Id of the way of paying that is counted on, instead of the one in use.
    paid_at_order
        Whether to count on no plan at all: everything is paid at the order.
    before_tax
        Whether to leave income tax out.

    Raises
    ------
    RequestError
        There is no such plan, the number of futures or the seed is not allowed, or the site's tasks
        cannot be put in order.
    """

    case: Case
    _: KW_ONLY
    futures: int | None = None
    seed: int | None = None
    plan: str | None = None
    paid_at_order: bool = False
    before_tax: bool = False

    def __post_init__(self) -> None:
        """Refuse what cannot be asked before anything is valued."""
        self.counted  # noqa: B018 - raises

    @cached_property
    def counted(self) -> Case:
        """The facts that count: with these draws, paid for like this, first chips dated."""
        case = with_draws(self.case, self.futures, self.seed)
        if self.paid_at_order or self.plan is not None:
            case = counting_on(case, self.plan)
        return with_first_chips(before_tax(case) if self.before_tax else case)
