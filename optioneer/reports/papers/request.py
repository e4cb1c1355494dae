"""The request to the dealer: what is to be quoted, and what is asked about it."""

from collections.abc import Collection, Iterator, Mapping, Sequence

from optioneer.model.case import Case
from optioneer.model.checks.candidates import everything_fitted
from optioneer.model.checks.compatibility import Orders
from optioneer.model.machine import Package
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Section, Table
from optioneer.study.dealer.wish import WishItem, WishQuestion

OWN = frozenset({"later price", "downtime"})
"""Topics whose figures are the buyer's own guesses: the dealer need not see them."""

OPEN = "please tell"

CAUTION = Paragraph(
    "Figures named here are for planning. Power, air, floor and lifting follow the machine's "
    "nameplate, its installation drawing and local codes; contract terms are to be agreed in "
    "writing."
)


def request_page(
    case: Case,
    package: Package,
    asked: Sequence[WishQuestion],
    figures: Figures,
    *,
    own_figures: bool = False,
) -> Page:
    """A request for quotation in parts.

    Parameters
    ----------
    own_figures
        Whether the buyer's own guesses of later prices and standstill go out too.
    """
    held = set(everything_fitted(Orders(case.catalogue), package))
    return (
        Heading(f"Request for quotation: {case.machine.name}", _aside(case)),
        Paragraph(
            "Please quote this machine with the options below, each by the name in your quote, and "
            "answer the questions after it. This is a request, not an order."
        ),
        _list(case, held, figures, "To be quoted"),
        *_off(case, package),
        *_questions(asked, figures, own_figures=own_figures),
        CAUTION,
    )


def first_request_page(case: Case, asked: Sequence[WishQuestion], figures: Figures) -> Page:
    """What is asked on the first day, from the dealer's list alone, in parts.

    Parameters
    ----------
    case
        A checked case; nothing of its work need be told.
    asked
        The questions, from `first_questions`.
    figures
        How amounts are said.
    """
    return (
        Heading(f"First questions: {case.machine.name}", _aside(case)),
        Paragraph(
            "Thank you for your list. Before we choose we need to know more of what is on it; the "
            "prices are as we read them. This is a request, not an order."
        ),
        _list(case, set(case.catalogue.by_id), figures, "Your list"),
        *_questions(asked, figures, own_figures=False),
        CAUTION,
    )


def _aside(case: Case) -> str:
    return f"Order planned for {case.dates.order.isoformat()}"


def _list(case: Case, held: Collection[str], figures: Figures, title: str) -> Table:
    options = [o for o in case.catalogue.options if o.option in held and not o.standard]
    rows = [("1", case.machine.name, figures.quoted(case.machine.base_price))]
    rows += [
        (str(number), option.name, figures.quoted(option.price))
        for number, option in enumerate(options, start=2)
    ]
    lines = tuple((number, price, name) for number, name, price in rows)
    return Table(title, ("no.", "so far", "machine and options"), lines, text_last=True)


def _off(case: Case, package: Package) -> Iterator[Paragraph]:
    orders = Orders(case.catalogue)
    filled = {orders.slot[name] for name in everything_fitted(orders, package)}
    names = [o.name for o in case.catalogue.standards if orders.slot[o.option] not in filled]
    if names:
        yield Paragraph(f"Standard items that we leave off: {'; '.join(names)}.")


def _questions(
    asked: Sequence[WishQuestion], figures: Figures, *, own_figures: bool
) -> Iterator[Part]:
    guesses = [one for question in asked if question.topic in OWN for one in question.asked]
    known = {
        (one.option, one.unit): _item_figure(one, figures) if own_figures else "" for one in guesses
    }
    for number, question in enumerate(asked, start=1):
        yield Section(f"{number}. {question.title}")
        yield Paragraph(question.text if own_figures else _without_guesses(question.text))
        if question.topic == "prepare":
            yield _to_fill(question, known)
        elif question.topic == "not told":
            yield _all_to_fill(question, figures)
        elif question.asked and question.topic not in OWN:
            rows = tuple(
                (_item_name(one), _item_figure(one, figures), "") for one in question.asked
            )
            yield Table("", ("", "so far", "your answer"), rows, text_last=True)


def _to_fill(question: WishQuestion, known: Mapping[tuple[str, str], str]) -> Table:
    """One table to answer what to prepare, what it costs later, and how long it takes."""
    rows = tuple(
        (
            one.what,
            "",
            known.get((one.option, "money"), ""),
            known.get((one.option, "days"), ""),
            one.note,
        )
        for one in question.asked
    )
    heads = ("may be fitted later", "prepare now", "price later", "standstill", "note")
    return Table("To fill in, with the next two questions", heads, rows, text_last=True)


def _all_to_fill(question: WishQuestion, figures: Figures) -> Table:
    """One table to answer all that is asked of each option; what is quoted already stands in it."""
    cells = {
        (one.option, one.unit): "" if one.figure is None else _item_figure(one, figures)
        for one in question.asked
    }
    firsts = {one.option: one for one in question.asked}
    units = tuple(dict.fromkeys(one.unit for one in question.asked))
    rows = tuple(
        (first.what, "", *(cells[first.option, unit] for unit in units), first.note)
        for first in firsts.values()
    )
    words = {"money": "price later", "days": "standstill", "kVA": "load", "L/min": "air"}
    heads = ("option", "later too?", *(words[unit] for unit in units), "we take it")
    return Table("To fill in", heads, rows, text_last=True)


def _item_name(one: WishItem) -> str:
    return f"{one.what} ({one.note})" if one.note else one.what


def _without_guesses(text: str) -> str:
    return text.partition(" The figures are what we reckon with")[0]


def _item_figure(one: WishItem, figures: Figures) -> str:
    if one.figure is None:
        return OPEN if one.unit else ""
    if one.unit == "money":
        return figures.quoted(one.figure)
    if one.unit == "share":
        return figures.share(one.figure)
    return f"{figures.number(one.figure, 2)} {one.unit}".rstrip()
