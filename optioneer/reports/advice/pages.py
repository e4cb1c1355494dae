"""The pages: advice, and one package."""

from optioneer.model.case import Case
from optioneer.reports.advice.attitude import caution_parts, unpaid_parts
from optioneer.reports.advice.certainty import how_many_stand, why_not_told
from optioneer.reports.advice.finding_out import learning_table
from optioneer.reports.advice.hours import hours_parts, visits_parts
from optioneer.reports.advice.provenance import rests_parts
from optioneer.reports.advice.summary import summary
from optioneer.reports.advice.tables import (
    frontier_table,
    packages_table,
    price_line,
    verdict_groups,
)
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import (
    Bullets,
    Heading,
    Page,
    Paragraph,
    Table,
)
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.cash.price import options_ordered
from optioneer.study.worth.outcome import Outcome

READING = (
    "The right column compares with the advice: what the other choice would cost over the "
    "horizon, everything else chosen as well as possible, ± its standard error. A retrofit that is "
    "planned is fitted in at least half of the futures, a possible one in a tenth to a half, an "
    "unlikely one in fewer: ask for firm later prices of the first two."
)

WHAT_STANDS = (
    " No figure alone turns what stands, wherever in its range; the others say what they hang on."
)


def advice_page(case: Case, advice: Advice, figures: Figures) -> Page:
    """What to order and why, how packages and budgets compare, and the cautions."""
    drawn = f"{figures.number(advice.futures)} futures, seed {advice.seed}"
    first, *others = summary(case, advice, figures)
    return (
        Heading(f"{case.machine.name}: what to order", drawn),
        Paragraph(first, strong=True),
        *(Paragraph(sentence) for sentence in others),
        *_standing(case, advice),
        *rests_parts(case, figures),
        *_after_tax(case, figures),
        *caution_parts(case, advice, figures),
        *unpaid_parts(case, advice, figures),
        *verdict_groups(case, advice, figures),
        Paragraph(READING + (WHAT_STANDS if how_many_stand(case, advice) else "")),
        packages_table(case, advice, figures),
        *((frontier_table(case, advice, figures),) if advice.frontier else ()),
        *hours_parts(advice, figures),
        *visits_parts(advice),
        *learning_table(case, advice, figures),
        Bullets("Before you sign", cautions(case)),
    )


def _standing(case: Case, advice: Advice) -> tuple[Paragraph, ...]:
    """How many verdicts stand, or why that was not looked at."""
    told = how_many_stand(case, advice) or why_not_told(advice)
    return (Paragraph(told),) if told else ()


def _after_tax(case: Case, figures: Figures) -> tuple[Paragraph, ...]:
    """That all figures are after income tax, where they are."""
    tax = case.paying.income_tax if case.paying else None
    if tax is None:
        return ()
    return (
        Paragraph(
            f"All figures are after income tax at {figures.share(tax.rate)}: planning figures, ask "
            "the accountant. `--before-tax` leaves it out."
        ),
    )


def package_page(case: Case, package: PackageAnswer, figures: Figures) -> Page:
    """The figures of one package, a sentence each."""
    beyond = [option.name for option in options_ordered(case, package.options)]
    missing = [o.name for o in case.catalogue.standards if o.option not in package.options]
    fitted = ", ".join(beyond) or "nothing beyond standard"
    left = f" Not on it: {', '.join(missing)}." if missing else ""
    return (
        Heading(f"{case.machine.name}: the value of one package"),
        Paragraph(f"Ordered: {fitted}.{left}"),
        Paragraph(f"{price_line(case, package, figures)}."),
        *_after_tax(case, figures),
        package_table(package, figures),
        Bullets("Before you sign", cautions(case)),
    )


def _outcome_rows(outcome: Outcome, figures: Figures) -> tuple[tuple[str, str, str], ...]:
    amount = figures.amount
    return (
        ("Outcome", amount(outcome.mean), "Margin earned less all that is paid, on average."),
        ("P10", amount(outcome.p10), "One future in ten leaves less."),
        ("P50", amount(outcome.p50), "Half of the futures leave less."),
        ("P90", amount(outcome.p90), "One future in ten leaves more."),
        ("Worst tenth", amount(outcome.worst_tenth), "Average of the lowest tenth of outcomes."),
        ("Not buying", amount(outcome.not_buying), "Outcome without any machine, on average."),
        (
            "Worse than not",
            figures.share(outcome.worse_than_not_buying),
            "Futures in which buying leaves less than not buying.",
        ),
    )


def package_table(package: PackageAnswer, figures: Figures) -> Table:
    """One row a figure of `package`, with what it means."""
    amount = figures.amount
    rows = (
        ("Price", figures.quoted(package.price), "What the dealer is paid."),
        (
            "Net present cost",
            figures.spread(package.npc, package.npc_se),
            "Average over all futures, ± its standard error; packages are compared by it.",
        ),
        *_outcome_rows(package.outcome, figures),
        (
            "Hindsight",
            amount(package.hindsight),
            "Retrofits timed with the future known: nobody can do better with this package.",
        ),
        (
            "Rule",
            amount(package.rule),
            "Retrofits decided on work already here, as if no more would come.",
        ),
        (
            "Learned",
            amount(package.learned),
            "Retrofits decided with what may still come in mind; the net present cost above.",
        ),
    )
    return Table("", ("figure", figures.currency, "meaning"), rows, text_last=True)
