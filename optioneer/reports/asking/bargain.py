"""The negotiation sheet: how far to go with the dealer."""

from collections.abc import Iterable

from optioneer.model.case import Case
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Table
from optioneer.study.bargain.answers import Bargain, LevelQuote, OptionBargain

SMALL = 1.0
"""Less is not worth a word with the dealer [money]."""

READING = (
    "Each line is told alone, all other prices as quoted and what the option lists for later held: "
    "once the dealer gives one thing, the others are worth something else. Ask again then."
)


def bargain_page(case: Case, answer: Bargain, figures: Figures) -> Page:
    """What to ask the dealer for, one kind of thing after the other."""
    drawn = f"{figures.number(answer.futures)} futures, seed {answer.seed}"
    return (
        Heading(f"{case.machine.name}: how far to go with the dealer", drawn),
        Paragraph(_first(answer, figures), strong=True),
        Paragraph(READING),
        *bargain_tables(case, answer, figures),
        Bullets("Before you sign", cautions(case)),
    )


def bargain_tables(case: Case, answer: Bargain, figures: Figures) -> Page:
    """The tables of the sheet, those that say nothing left out."""
    made = (
        _order_table(case, answer, figures),
        _left_table(case, answer, figures),
        _credits(case, answer, figures),
        _written(case, answer, figures),
        _quotes(answer, figures),
    )
    return tuple(table for table in made if table.rows)


def _first(answer: Bargain, figures: Figures) -> str:
    week = answer.week
    said = f"The package advised is priced at {figures.quoted(answer.price)}."
    if week.costs >= SMALL:
        return (
            f"{said} A week of delivery is worth {figures.spread(week.costs, week.costs_se)}: a "
            "discount below that is no pay for a week's delay."
        )
    return (
        f"{said} A week of delivery is worth nothing: in its first months the machine earns less "
        f"than waiting saves ({figures.spread(week.costs, week.costs_se)} for a week's delay)."
    )


def _by_name(case: Case, answers: Iterable[OptionBargain]) -> Iterable[tuple[str, OptionBargain]]:
    return ((case.catalogue.by_id[each.option].name, each) for each in answers)


def _order_table(case: Case, answer: Bargain, figures: Figures) -> Table:
    """Options that are ordered: most room first."""
    ordered = [one for one in answer.options if one.verdict == "order now" and one.turns_at]
    ordered.sort(key=lambda one: (one.turns_at or 0.0) - one.price)
    rows = tuple(
        (
            name,
            figures.quoted(one.price),
            figures.amount(one.turns_at or 0.0),
            figures.amount((one.turns_at or 0.0) - one.price),
        )
        for name, one in _by_name(case, ordered)
    )
    note = "Above what it is worth it is no longer ordered. The least room comes first."
    heads = ("option", "asked", "worth at most", "room")
    return Table("Ordered: the most each is worth with the order", heads, rows, note=note)


def _left_table(case: Case, answer: Bargain, figures: Figures) -> Table:
    """Options that are left: those nearest to an order first."""
    left = [
        one for one in answer.options if one.verdict != "order now" and one.turns_at is not None
    ]
    left.sort(key=lambda one: (_off(one), one.option))
    rows = tuple(
        (
            name,
            figures.quoted(one.price),
            figures.amount(one.turns_at or 0.0),
            f"{figures.share(_off(one))} off",
        )
        for name, one in _by_name(case, left)
    )
    never = [
        case.catalogue.by_id[one.option].name
        for one in answer.options
        if one.verdict != "order now" and one.turns_at is None and one.credit_turns_at is None
    ]
    note = f"Not even for nothing: {', '.join(never)}." if never else ""
    heads = ("option", "asked", "ordered from", "which is")
    return Table("Left: the price at which it would be ordered", heads, rows, note=note)


def _off(one: OptionBargain) -> float:
    return 1.0 - (one.turns_at or 0.0) / one.price if one.price > 0.0 else 0.0


def _credits(case: Case, answer: Bargain, figures: Figures) -> Table:
    rows = tuple(
        (
            name,
            "none" if one.credit is None else figures.quoted(one.credit),
            figures.amount(one.credit_turns_at),
        )
        for name, one in _by_name(case, answer.options)
        if one.credit_turns_at is not None
    )
    note = "From that credit on it pays to leave a standard item off and its place empty."
    return Table("Standard items", ("item", "credit offered", "take it from"), rows, note=note)


def _written(case: Case, answer: Bargain, figures: Figures) -> Table:
    known = [one for one in answer.options if (one.written_worth or 0.0) >= SMALL]
    known.sort(key=lambda one: -(one.written_worth or 0.0))
    rows = tuple(
        (
            name,
            figures.about(one.written_price or 0.0),
            figures.spread(one.written_worth or 0.0, one.written_worth_se or 0.0),
        )
        for name, one in _by_name(case, known)
    )
    note = (
        f"Get it in writing for {figures.number(answer.written_years)} years from the order; "
        "call-out and standstill come on top. Of options that are not listed it is worth nothing."
    )
    return Table("A later price in writing", ("option", "price", "worth"), rows, note=note)


def _quotes(answer: Bargain, figures: Figures) -> Table:
    rows = tuple(_quote(quote, figures) for quote in answer.quotes)
    note = "On one calendar and the same futures, each with the package advised for it."
    return Table(
        "Other quotes", ("quote", "costs beyond this", "level"), rows, text_last=True, note=note
    )


def _quote(quote: LevelQuote, figures: Figures) -> tuple[str, str, str]:
    beyond = figures.spread(quote.beyond, quote.beyond_se)
    if quote.discount is not None:
        theirs = Figures(quote.currency, figures.locale)
        part = figures.fine_share(quote.discount / quote.price)
        return quote.case, beyond, f"with {theirs.amount(quote.discount)} ({part}) off theirs"
    if quote.own_discount is not None:
        return quote.case, beyond, f"with {figures.amount(quote.own_discount)} off this one"
    return quote.case, beyond, "as they are"
