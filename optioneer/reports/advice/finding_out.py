"""What is worth finding out before the order is signed."""

from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph, Part, Table
from optioneer.study.advice.answers import Advice, Learning
from optioneer.valuation.figures.summary import interval_errors

MOST_SHOWN = 6
"""Rows of the table."""

TITLE = "Worth asking before you sign"


def learning_table(case: Case, advice: Advice, figures: Figures) -> tuple[Part, ...]:
    """What is best worth knowing, dearest first; nothing where it was not worked out."""
    known = advice.information.learning
    if not known:
        return ()
    sure = interval_errors(advice.futures)  # within so many errors a worth may be chance
    telling = [each for each in known if each.worth > sure * each.worth_se and each.worth >= 1.0]
    if not telling:
        return (Paragraph(f"{TITLE}: no single answer would change the order enough to matter."),)
    rows = tuple(
        (_name(case, each), figures.spread(each.worth, each.worth_se), _question(each))
        for each in telling[:MOST_SHOWN]
    )
    return (Table(TITLE, ("about", "worth up to", "to know"), rows, text_last=True, note=NOTE),)


NOTE = (
    "What the answer would save on average if it came before the order and changed only what is "
    "ordered. Pay no more for it than that. The worths of several answers do not add up."
)


def _name(case: Case, each: Learning) -> str:
    known = case.growth.stream if each.kind == "stream" else case.growth.driver
    names = {fact.id: fact.name or fact.id for fact in known}
    return names[each.id]


def _question(each: Learning) -> str:
    if each.kind == "stream":
        return "whether it comes, and if so early or late"
    return "whether it turns out weak, middling or strong"
