"""What the way of paying does to the advice, in words."""

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.parts import Bullets, Part
from optioneer.study.answers import Advice

AFTER_TAX = (
    "The factor counts the tax saved on what is ordered now; retrofits and margins are counted "
    "before tax, so it favours ordering now. Ask your accountant."
)


def way_of_paying(
    case: Case, told: Advice, figures: Figures, *, factor: float, at_once: Advice | None
) -> tuple[Part, ...]:
    """A group of sentences on the plan that the advice counts on; empty when there is none.

    Parameters
    ----------
    case
        The case with the plan it uses.
    told
        The advice under it.
    figures
        How figures are said.
    factor
        Present value of the plan per unit of price.
    at_once
        The advice with all paid at the order, to compare with, if it was asked for.
    """
    if case.paying is None or case.paying.use is None:
        return ()
    first = (
        f"The advice counts on plan '{case.paying.use}': what is ordered costs "
        f"{figures.number(factor, 4)} of its price at today's value."
    )
    turned = _turned(case, told, at_once) if at_once else ()
    notes = (AFTER_TAX,) if case.paying.income_tax is not None else ()
    return (Bullets("The way of paying", (first, *turned, *notes)),)


def _turned(case: Case, told: Advice, at_once: Advice) -> tuple[str, ...]:
    """A sentence a verdict that paying all at the order would turn."""
    before = {answer.option: answer.verdict for answer in at_once.options}
    return tuple(
        f"{case.catalogue.by_id[answer.option].name}: {answer.verdict}, instead of "
        f"{before[answer.option]} if all is paid at the order."
        for answer in told.options
        if answer.verdict != before[answer.option]
    ) or ("No verdict would be another if all were paid at the order.",)
