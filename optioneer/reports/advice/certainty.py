"""Whether verdicts stand or what they hang on, in words."""

from collections import Counter

from optioneer.model.case import Case
from optioneer.reports.advice.whatif import figure_label, figure_value
from optioneer.reports.page.money import Figures
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.study.unknowns.answers import HangsOn
from optioneer.study.worth.figures import What

STRENGTH = "0 as expected, +1 as strongly as one time in six"
"""What a shift of a driver means: 16 of 100 lie beyond one deviation (standard normal table)."""

MOST_NAMED = 3
"""Figures named in the summary; the others are counted."""


def hangs_sentence(case: Case, answer: OptionAnswer, figures: Figures) -> str:
    """Whether one verdict stands, or which figures turn it and where; empty where not looked at."""
    if answer.hangs_on is None:
        return ""
    if not answer.hangs_on:
        return "Stands."
    told = "; ".join(_turning(case, one, figures) for one in answer.hangs_on)
    return f"Hangs on: {told}."


def _turning(case: Case, one: HangsOn, figures: Figures) -> str:
    """One figure, where it turns the verdict, and its range."""
    here, at, low, high = (
        figure_value(one.what, value, figures)
        for value in (one.here, one.turns_at, one.low, one.high)
    )
    label = plain_label(case, one.what, one.name)
    if one.what == "nudge":
        return f"{label}, turns {one.turns} {at} ({STRENGTH}; {low} to {high} looked at)"
    return f"{label[0].lower()}{label[1:]}, turns {one.turns} {at} (now {here}; {low} to {high})"


def plain_label(case: Case, what: What, name: str) -> str:
    """A figure in the owner's words: of a driver how strongly it comes, where it is not shifted."""
    label = figure_label(case, what, name)
    return f"{label[0].lower()}{label[1:]}" if what == "nudge" else label


def why_not_told(advice: Advice) -> str:
    """Why the advice does not say what verdicts hang on; empty where it does, or could."""
    told = any(answer.hangs_on is not None for answer in advice.options)
    asked = (
        ("within a budget", advice.budget is not None),
        ("with caution", advice.caution is not None),
        ("from an account that may lack the money", advice.from_account is not None),
    )
    reason = next((words for words, is_so in asked if is_so), None)
    if told or reason is None:
        return ""
    return (
        f"Which figures a verdict hangs on is not told {reason}: there one figure changes what is "
        "best for all options at once, not for those alone that it is about. Ask without it."
    )


def how_many_stand(case: Case, advice: Advice) -> str:
    """How many verdicts stand, and on which figures the others hang; empty where not looked at."""
    looked = [answer.hangs_on for answer in advice.options if answer.hangs_on is not None]
    if not looked:
        return ""
    stands = sum(1 for figures in looked if not figures)
    counted: Counter[tuple[What, str]] = Counter(
        (one.what, one.name) for figures in looked for one in figures
    )
    if not counted:
        return (
            "Every verdict with another choice stands: no figure that nobody knows for sure turns "
            "it, alone, within its range."
        )
    named = "; ".join(
        plain_label(case, what, name) for (what, name), _ in counted.most_common(MOST_NAMED)
    )
    more = f"; and {len(counted) - MOST_NAMED} more" if len(counted) > MOST_NAMED else ""
    return (
        f"{stands} of {len(looked)} verdicts with another choice stand: no figure that is unsure "
        f"turns them, alone, within its range. The others hang on: {named}{more}. "
        "`optioneer ask` says what to ask first, and whom; it also tries what only valuing anew "
        "tells: discount rate, years looked ahead, hours, growth, swings, standstill."
    )
