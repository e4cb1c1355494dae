"""What to ask the dealer on the first day: what the list does not tell, before any advice."""

from collections.abc import Iterator, Mapping

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.machine import Package
from optioneer.model.sources import Standing, origins
from optioneer.study.dealer.questions import STANDING_QUESTIONS
from optioneer.study.dealer.wish import WishItem, WishQuestion, wish_of

FIGURES: Mapping[str, str] = {
    "multiplier": "money",
    "downtime_days": "days",
    "kva": "kVA",
    "air_l_min": "L/min",
}
"""Figures of an option that the dealer can tell, with the unit in which he does."""


def first_questions(case: Case) -> tuple[WishQuestion, ...]:
    """What to ask the dealer of all that is on his list, before anything is weighed.

    Parameters
    ----------
    case
        A case as a list makes it; nothing of its work need be told.

    Notes
    -----
    Of every option: whether it can be fitted later, at what price, with how long a standstill, what
    it needs, what it adds to power and air. What he has quoted already is not asked again; what is
    usual in the trade is no answer of his.
    """
    wish = wish_of(case, Package(id="base"))
    standing = (found for ask in STANDING_QUESTIONS if (found := ask(wish)) is not None)
    return (*_untold(case), *standing)


def _untold(case: Case) -> Iterator[WishQuestion]:
    known = origins(case)
    items = [
        item
        for option in case.catalogue.options
        if not option.standard and not _told_whole(option, known)
        for item in _items(case, option, known)
    ]
    if items:
        yield WishQuestion(
            topic="not told",
            title="What your list does not tell",
            text="We decide on each of these now. Which can only be built in at the factory? For "
            "the others: what do they cost fitted later on site, all work and travel included, for "
            "how many years does that hold, and for how many working days does the machine stand "
            "still? What does each need, what can it not be combined with, and what does it add to "
            "connected load and air?",
            asked=tuple(items),
        )


def _told_whole(option: Option, known: Mapping[str, Standing]) -> bool:
    return all(_is_quoted(option, field, known) for field in FIGURES)


def _is_quoted(option: Option, field: str, known: Mapping[str, Standing]) -> bool:
    return known.get(f"option/{option.option}/{field}") == "quoted"


def _items(case: Case, option: Option, known: Mapping[str, Standing]) -> Iterator[WishItem]:
    names = case.catalogue.by_id
    needs = ", ".join(names[one].name for one in option.requires)
    bars = ", ".join(names[one].name for one in option.excludes)
    taken = (f"needs {needs}" if needs else "", f"not with {bars}" if bars else "")
    note = "; ".join(part for part in taken if part)
    for field, unit in FIGURES.items():
        yield WishItem(
            option=option.option,
            what=option.name,
            figure=_figure(option, field) if _is_quoted(option, field, known) else None,
            unit=unit,
            note=note,
        )


def _figure(option: Option, field: str) -> float | None:
    if field != "multiplier":
        return float(getattr(option, field))
    likely = option.multiplier
    return None if likely is None else option.listed_later * likely.likely
