"""What an attitude to risk does to the advice, in words."""

from optioneer.model.case import Case
from optioneer.reports.money import Figures
from optioneer.reports.parts import Bullets, Paragraph, Part
from optioneer.reports.whatif import SAID
from optioneer.study.answers import Advice, Caution, Turned

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
    saved = (weighed(caution, figures), price_of_caution(caution, figures))
    turned = tuple(_turned(case, each) for each in caution.turned)
    title = f"Verdicts that caution turns ({len(turned)})"
    return (
        Paragraph(" ".join(saved)),
        Bullets(title, turned) if turned else Paragraph("Caution turns no verdict."),
        Paragraph(WEIGHED),
    )


def weighed(caution: Caution, figures: Figures) -> str:
    """How packages were weighed, and how sure it is that none is better."""
    average, worst = figures.share(1.0 - caution.weight), figures.share(caution.weight)
    sure = (
        "no package costs less on these futures"
        if caution.gap < PROVEN
        else f"no package costs over {figures.amount(caution.gap)} less on these futures; whether "
        "one costs less by up to that is not proven"
    )
    return (
        f"With caution: packages are chosen by {average} of their average and {worst} of the "
        f"average of their worst tenth. So weighed this one costs {figures.amount(caution.rated)}; "
        f"{sure}."
    )


def price_of_caution(caution: Caution, figures: Figures) -> str:
    """What caution costs on average and saves in the worst tenth."""
    plain = caution.on_average
    costs = figures.spread(caution.costs_on_average, caution.costs_on_average_se)
    return (
        f"The package that is best on average costs {figures.amount(plain.npc)}, its worst tenth "
        f"{figures.amount(plain.cvar90)}: against it caution costs {costs} on average and saves "
        f"{figures.amount(caution.saves_in_worst_tenth)} in the worst tenth."
    )


def _turned(case: Case, turned: Turned) -> str:
    name = case.catalogue.by_id[turned.option].name
    return f"{name}: {SAID[turned.cautious]} instead of {SAID[turned.on_average]}."
