"""What an attitude to risk, and the way of paying, do to the advice, in words."""

from optioneer.model.case import Case
from optioneer.reports.advice.whatif import SAID
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Paragraph, Part
from optioneer.study.advice.answers import Advice, Caution, Turned
from optioneer.study.advice.purse import FromAccount, TurnedByAccount

PROVEN = 0.5
"""A smaller gap is none [money]."""

WEIGHED = (
    "The right column is weighed in the same way; the package of the other choice is bettered one "
    "group of related options at a time, so that its figure may be a little high. Budgets and what "
    "is worth asking count the average."
)


def caution_parts(case: Case, advice: Advice, figures: Figures) -> tuple[Part, ...]:
    """How packages were weighed, what that costs and saves, which verdicts it turns.

    Nothing where only the average counts.
    """
    caution = advice.caution
    if caution is None:
        return ()
    saved = (attitude_sentence(caution, figures), price_of_caution(caution, figures))
    turned = tuple(_turned_sentence(case, each) for each in caution.turned)
    title = f"Verdicts that caution turns ({len(turned)})"
    return (
        Paragraph(" ".join(saved)),
        Bullets(title, turned) if turned else Paragraph("Caution turns no verdict."),
        Paragraph(WEIGHED),
    )


def attitude_sentence(caution: Caution, figures: Figures) -> str:
    """How packages were weighed, and how sure it is that none is better."""
    average, worst = figures.share(1.0 - caution.weight), figures.share(caution.weight)
    sure = (
        "no package has more on these futures"
        if caution.gap < PROVEN
        else f"no package has over {figures.amount(caution.gap)} more on these futures; whether "
        "one has more by up to that is not proven"
    )
    return (
        f"With caution: packages are chosen by {average} of their average and {worst} of the "
        f"average of their worst tenth of outcomes. So weighed this one has "
        f"{figures.amount(caution.rated)}; "
        f"{sure}."
    )


def price_of_caution(caution: Caution, figures: Figures) -> str:
    """What caution costs on average and saves in the worst tenth."""
    plain = caution.on_average
    costs = figures.spread(caution.costs_on_average, caution.costs_on_average_se)
    return (
        f"The package that is best on average has {figures.amount(plain.outcome.mean)}, in its "
        f"worst tenth {figures.amount(plain.outcome.worst_tenth)}: against it caution costs "
        f"{costs} on average and saves {figures.amount(caution.saves_in_worst_tenth)} in the worst "
        "tenth."
    )


def _turned_sentence(case: Case, turned: Turned) -> str:
    name = case.catalogue.by_id[turned.option].name
    return f"{name}: {SAID[turned.cautious]} instead of {SAID[turned.on_average]}."


COUNTED_PAID = (
    "Who cannot pay asks again a period later. Timing with the future known, and what nobody could "
    "get below, count every retrofit as paid; works on the site that a retrofit makes necessary "
    "are not asked of the account."
)


def unpaid_parts(case: Case, advice: Advice, figures: Figures) -> tuple[Part, ...]:
    """What it does that retrofits are paid from the account; nothing where they are not."""
    told = advice.from_account
    if told is None:
        return ()
    late = {one.option: one.unpaid or 0.0 for one in advice.options}
    turned = tuple(_turned_by_account(case, one, late[one.option], figures) for one in told.turned)
    title = f"Verdicts that the account turns ({len(turned)})"
    return (
        Paragraph(f"{_no_money(told, figures)} {COUNTED_PAID}"),
        Bullets(title, turned) if turned else Paragraph("The account turns no verdict."),
    )


def _no_money(told: FromAccount, figures: Figures) -> str:
    first = f"Retrofits are made only where the account can pay them, counting on '{told.plan}'"
    if not told.refused:
        return f"{first}: it always can."
    return (
        f"{first}: in {figures.share(told.refused)} of futures one is wanted that it cannot pay "
        f"then, which costs {figures.amount(told.costs)} on average. No other order saves more "
        f"than {figures.amount(told.saved_at_most)} of it."
    )


def _turned_by_account(case: Case, one: TurnedByAccount, unpaid: float, figures: Figures) -> str:
    said = f"{SAID[one.verdict]} instead of {SAID[one.if_paid]}"
    if one.verdict == "order now" and unpaid:
        said += f": later there would be no money in {figures.share(unpaid)} of futures"
    return f"{case.catalogue.by_id[one.option].name}: {said}."


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
    turned = _turned_verdicts(case, told, at_once) if at_once else ()
    notes = (AFTER_TAX,) if case.paying.income_tax is not None else ()
    return (Bullets("The way of paying", (first, *turned, *notes)),)


def _turned_verdicts(case: Case, told: Advice, at_once: Advice) -> tuple[str, ...]:
    """A sentence a verdict that paying all at the order would turn."""
    before = {answer.option: answer.verdict for answer in at_once.options}
    return tuple(
        f"{case.catalogue.by_id[answer.option].name}: {answer.verdict}, instead of "
        f"{before[answer.option]} if all is paid at the order."
        for answer in told.options
        if answer.verdict != before[answer.option]
    ) or ("No verdict would be another if all were paid at the order.",)
