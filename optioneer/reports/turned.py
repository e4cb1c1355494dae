"""What the way of paying does to the advice, in words."""

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.parts import Bullets, Part
from optioneer.study.turned import AdviceUnder

AFTER_TAX = (
    "The factor counts the tax saved on what is ordered now; retrofits and margins are counted "
    "before tax, so it favours ordering now. Ask your accountant."
)


def turned_parts(case: Case, under: AdviceUnder, figures: Figures) -> tuple[Part, ...]:
    """A group of sentences on the plan; empty when all is paid at the order."""
    if under.plan is None:
        return ()
    first = (
        f"The advice counts on plan '{under.plan}': what is ordered costs "
        f"{figures.number(under.factor, 4)} of its price at today's value."
    )
    taxed = case.paying is not None and case.paying.income_tax is not None
    notes = (AFTER_TAX,) if taxed else ()
    now = {answer.option: answer.verdict for answer in under.advice.options}
    turned = tuple(
        f"{case.catalogue.by_id[option].name}: {now[option]}, instead of {verdict} if all is "
        "paid at the order."
        for option, verdict in under.turned.items()
    )
    return (Bullets("The way of paying", (first, *turned, *notes)),)
