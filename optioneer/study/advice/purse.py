"""What it does to the advice that retrofits are paid from the account."""

from collections.abc import Mapping

from pydantic import Field

from optioneer.study.answer import Answer, Verdict
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued

PAID_AT_ORDER = "all paid at the order"
"""What is said where no way of paying is in use."""


class TurnedByAccount(Answer):
    """A verdict that is another because retrofits are paid from the account."""

    option: str
    if_paid: Verdict = Field(description="When every retrofit is paid, whatever is there.")
    verdict: Verdict = Field(description="When only those are made that the account can pay.")


class FromAccount(Answer):
    """What it does to the advice that a retrofit is made only where the account can pay it.

    All packages are compared as they fare with the account: who cannot pay asks again in the next
    period. Hindsight and rule are told with every retrofit paid.
    """

    plan: str = Field(description="Way of paying that is counted on.")
    refused: float = Field(
        description="Share of futures in which a retrofit of the advised package cannot be paid "
        "when it is wanted."
    )
    costs: float = Field(description="What that costs the advised package on average [money].")
    saved_at_most: float = Field(
        description="No other package costs less by more: so much less costs the best one if every "
        "retrofit is paid. Packages in between were searched, not all of them tried [money]."
    )
    turned: tuple[TurnedByAccount, ...] = Field(description="Verdicts that are not the same.")


def unpaid_later(
    found: Valued, package: States | None, option: int, *, ordered: bool
) -> float | None:
    """Share of futures in which what a package waits for cannot be paid when it is wanted.

    Of a package without the option; where the advice orders it, what would be fitted in its slot
    counts, too. None where retrofits are not paid from the account, or every package holds it.
    """
    if not isinstance(found, Pursed) or package is None:
        return None
    return found.unpaid(package, found.in_slot_of(option) if ordered else {option})


def from_account_answer(
    found: Pursed,
    packages: tuple[States, States],
    said: Mapping[str, Verdict],
    if_paid: Mapping[str, Verdict],
) -> FromAccount:
    """What the account does to the advice.

    Parameters
    ----------
    found
        The valued case with its purse.
    packages
        The advised one, and the best one where every retrofit is paid.
    said, if_paid
        The verdict on each option with the one and with the other.
    """
    (chosen, free), plan = packages, found.purse.plan
    mean = found.mean(chosen)
    return FromAccount(
        plan=PAID_AT_ORDER if plan is None else plan.id,
        refused=found.share_refused(chosen),
        costs=mean - float(found.free.cost(chosen).mean()),
        saved_at_most=mean - float(found.free.cost(free).mean()),
        turned=tuple(
            TurnedByAccount(option=option, if_paid=if_paid[option], verdict=verdict)
            for option, verdict in said.items()
            if verdict != if_paid[option]
        ),
    )
