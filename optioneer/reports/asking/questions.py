"""What to ask before the order, and whom: in words."""

from collections.abc import Sequence

from optioneer.model.case import Case
from optioneer.reports.advice.whatif import figure_label, figure_value
from optioneer.reports.page.cautions import every_retrofit_paid
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Entries, Heading, Page, PageEntry, Paragraph
from optioneer.study.asking.answers import NextQuestion, Questions
from optioneer.study.unknowns.answers import WorthOfFigure
from optioneer.study.unknowns.ranges import every_ranged
from optioneer.study.worth.figures import Figure, What, figure_of

NOTE = (
    "What an answer would save on average if it came before the order. Ask from the top: once one "
    "is answered the others are worth something else, and the worths do not add up."
)

ADDS_NOTE = (
    "None of these is worth a question by itself. What each adds is what its answer would save on "
    "average once all others were known, too: such choices hang on several figures at once."
)


def questions_page(case: Case, answer: Questions, figures: Figures) -> Page:
    """The questions, the most worth first, and what else there is to know of the choices."""
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    parts: list[Paragraph | Bullets | Entries] = []
    alone, adding = _by_worth(answer)
    if alone:
        entries = tuple(_entry(case, one, one.worth, figures) for one in alone)
        parts.append(Entries("Ask", ("whom", "worth up to"), entries, NOTE))
    if adding:
        entries = tuple(_entry(case, one, one.adds, figures) for one in adding)
        parts.append(Entries("Then ask", ("whom", "adds"), entries, ADDS_NOTE))
    if answer.together:
        parts.append(
            Bullets("One choice each: they stand or fall together", _together(case, answer))
        )
    if answer.beyond:
        parts.append(Bullets("Work that would come too late to count", _beyond(case, answer)))
    return (
        Heading(f"{case.machine.name}: what to ask next", drawn),
        Paragraph(_first(answer, figures), strong=True),
        *parts,
        *map(Paragraph, every_retrofit_paid(case)),
    )


def _first(answer: Questions, figures: Figures) -> str:
    least = figures.amount(answer.least)
    rest = (
        f"{answer.below} of {answer.figures} unsure figures are not worth a question: alone each "
    )
    rest += f"would save less than {least}, 0.2% of the price, and adds little to the others."
    if not answer.questions:
        return f"Nothing is left to ask. {rest}"
    alone, adding = _by_worth(answer)
    many = {0: "No question would", 1: "1 question would"}
    pays = f"{many.get(len(alone), f'{len(alone)} questions would each')} pay by itself."
    if adding:
        everything = figures.amount(answer.everything)
        more = f"{len(adding)}{' more' if alone else ''} add{'s' if len(adding) == 1 else ''}"
        pays += f" {more} to what others tell: to know all of them would save {everything}."
        if answer.everything < answer.least:
            risked = figures.amount(answer.worst_hundredth)
            pays += f" In one order of a hundred ordering now costs about {risked}."
    return f"{pays} {rest}"


def _by_worth(answer: Questions) -> tuple[Sequence[NextQuestion], Sequence[NextQuestion]]:
    """Those that are worth asking alone, and those that only add to the others."""
    alone = [one for one in answer.questions if one.worth >= answer.least]
    return alone, [one for one in answer.questions if one.worth < answer.least]


def _entry(case: Case, one: NextQuestion, worth: float, figures: Figures) -> PageEntry:
    turned = [case.catalogue.by_id[option].name for option in one.turns]
    turns = f" It can turn: {'; '.join(turned)}." if turned else ""
    return PageEntry(
        _capital(question_text(case, one.what, one.name)),
        (f"the {one.who}", figures.amount(worth)),
        f"{now_sentence(one, figures)}{turns}",
    )


def _capital(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}"


def now_sentence(one: WorthOfFigure, figures: Figures) -> str:
    """What the case says of a figure now."""
    here, low, high = (figure_value(one.what, x, figures) for x in (one.here, one.low, one.high))
    return f"Now {here}, somewhere from {low} to {high} ({one.why})."


def question_text(case: Case, what: What, name: str) -> str:
    """A figure asked for in the owner's words."""
    owner = _name_of_figure(case, what, name)
    return {
        "nudge": f"how good will the times be for '{owner}'?",
        "chance": f"does '{owner}' come?",
        "margin": f"what would a year of '{owner}' leave after material, tools and wages?",
        "years": f"when would the first order of '{owner}' come?",
        "lasts-years": f"how long do jobs like '{owner}' stay?",
        "fallback": f"what is kept of '{owner}' as it is done today: refused, by hand, sent out?",
        "growth": f"by how much does '{owner}' grow in a year?",
        "swing": f"how much does '{owner}' go up and down from year to year?",
        "hours": f"how many hours a year does '{owner}' take?",
        "multiplier": f"what does '{owner}' cost when it is fitted later?",
        "price": f"what does '{owner}' cost with the order?",
        "later-price": f"what will '{owner}' list for later?",
        "downtime-days": f"how long does the machine stand still while '{owner}' is fitted?",
        "attended": "how many hours a year is somebody there for this machine?",
        "beyond": "what does an hour more cost: overtime, another shift, sent out?",
        "kept-years": "how long will you keep the machine?",
        "horizon": "how many years do you look ahead?",
        "discount-rate": "what does money cost you a year?",
    }[what]


def _name_of_figure(case: Case, what: What, name: str) -> str:
    """What people call the driver, stream or option of a figure."""
    label = figure_label(case, what, name)
    names = {
        **{driver.id: driver.name for driver in case.growth.driver},
        **{stream.id: stream.name for stream in case.growth.stream},
        **{option.option: option.name for option in case.catalogue.options},
    }
    return (names.get(name) or name) if name else label


def _together(case: Case, answer: Questions) -> tuple[str, ...]:
    names = {option.option: option.name for option in case.catalogue.options}
    return tuple("; ".join(names[one] for one in group) for group in answer.together)


def _beyond(case: Case, answer: Questions) -> tuple[str, ...]:
    names = {stream.id: stream.name or stream.id for stream in case.growth.stream}
    return tuple(
        f"{names[one]}: likely only once the machine is gone or the years looked ahead are over."
        for one in answer.beyond
    )


def clash_sentence(case: Case, after: Case, figure: Figure, figures: Figures) -> str:
    """An answer beside what the case says, where the one lies outside the range of the other.

    Parameters
    ----------
    case, after
        The case before the answer, and with it.
    figure
        What was answered.
    figures
        How they are written.
    """
    before = {each.figure.what + each.figure.name: each for each in every_ranged(case)}
    ranged = before.get(figure.what + figure.name)
    now = figure_of(after, figure)
    if ranged is None or ranged.low <= now <= ranged.high:
        return ""
    said, told, low, high = (
        figure_value(figure.what, x, figures) for x in (ranged.here, now, ranged.low, ranged.high)
    )
    return f"The case says {said} ({low} to {high}); this answer says {told}. They do not fit."
