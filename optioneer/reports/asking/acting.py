"""When to order what waits, in words."""

from collections.abc import Iterator, Sequence

from optioneer.model.case import Case
from optioneer.reports.page.cautions import every_retrofit_paid
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Entries, Heading, Page, PageEntry, Paragraph
from optioneer.study.acting.answers import Acting, WhenToFit

TITLE = "When to order what waits"

NOTE = (
    "Look at it once a year and whenever work comes or goes. A year's margin is before tax, in "
    "money of that year; how long work likely runs on counts from when it is fitted, and never "
    "beyond the likely stay of the machine. Quotes are without call-out and standstill."
)


def acting_page(case: Case, answer: Acting, figures: Figures) -> Page:
    """The conditions, the likeliest first, and how good they are."""
    drawn = f"{figures.number(answer.futures)} fresh futures, seed {answer.seed}"
    heading = Heading(f"{case.machine.name}: when to order what waits", drawn)
    if not answer.conditions:
        return heading, Paragraph("Nothing is left for a retrofit.", strong=True)
    told = map(Paragraph, every_retrofit_paid(case))
    return heading, *acting_parts(case, answer, figures), *told


def how_good(answer: Acting, figures: Figures) -> str:
    """What going by the words costs, against the advice and against never fitting anything."""
    said = [one for one in answer.conditions if one.said]
    if not said:
        return (
            "No few words say when to order what waits: ask again each year. To fit nothing of it "
            f"ever would cost {figures.amount(answer.never_costs)} more."
        )
    more = figures.spread(answer.costs, answer.costs_se)
    return (
        f"Whoever goes by these words pays {more} more over all futures than whoever sees all that "
        f"the advice sees ({figures.fine_share(answer.share)} of the net present cost); whoever "
        f"never fits anything, {figures.amount(answer.never_costs)} more."
    )


def acting_parts(case: Case, answer: Acting, figures: Figures) -> Page:
    """The conditions and how good they are, as a part of a longer page."""
    if not answer.conditions:
        return ()
    entries = tuple(_entry(case, one, figures) for one in answer.conditions)
    table = Entries(TITLE, ("advice fits it in", "these words in"), entries, NOTE)
    return Paragraph(how_good(answer, figures)), table


def reminders(case: Case, answer: Acting, figures: Figures) -> Iterator[str]:
    """A sentence a choice that words are good enough for, the likeliest first."""
    for one in answer.conditions:
        if one.said:
            yield f"{named_together(case, one.options)}: {when(case, one, figures)}"


def named_together(case: Case, options: Sequence[str]) -> str:
    """Options that are ordered together, by name."""
    first, *others = (case.catalogue.by_id[option].name for option in options)
    if not others:
        return first
    *before, last = others
    listed = f"{', '.join(before)} and {last}" if before else last
    return f"{first}, with {listed}"


def when(case: Case, one: WhenToFit, figures: Figures) -> str:
    """The condition as a sentence."""
    *before, last = (_work(case, one), *_enough(one, figures))
    told = f"when {', '.join(before)} and {last}" if before else f"when {last}"
    if one.after is not None:
        told += f"; {_years(one.after, figures)} after first chips in any case"
    return f"{told}."


def _work(case: Case, one: WhenToFit) -> str:
    names = {stream.id: stream.name or stream.id for stream in case.growth.stream}
    *before, last = [f"'{names[stream]}'" for stream in one.work] or ["work for it"]
    return f"{', '.join(before)} or {last} is here" if before else f"{last} is here"


def _enough(one: WhenToFit, figures: Figures) -> Iterator[str]:
    """What the work must leave, how long it must run on, and what may be asked for fitting."""
    more = " more with it" if len(one.work) > 1 else ""
    if one.margin is not None:
        yield f"leaves at least {figures.about(one.margin)} a year{more}"
    if one.years is not None:
        yield f"likely runs on for at least {_years(one.years, figures)}"
    if one.brings is not None:
        yield f"will likely leave at least {figures.about(one.brings)}{more} before it ends"
    if one.price is not None:
        yield f"fitting is quoted at no more than {figures.about(one.price)}"


def _years(years: float, figures: Figures) -> str:
    unit = "year" if years == 1.0 else "years"
    if years < 1.0:
        return f"{figures.number(12 * years)} months"
    return f"{figures.number(years)} {unit}"


def _entry(case: Case, one: WhenToFit, figures: Figures) -> PageEntry:
    name, often = named_together(case, one.options), figures.share(one.chance)
    if one.said:
        told = when(case, one, figures)
        return PageEntry(name, (often, figures.share(one.fits)), f"{told[0].upper()}{told[1:]}")
    sentence = "No few words say when: ask again each year, and whenever work for it comes."
    return PageEntry(name, (often, "-"), sentence)
