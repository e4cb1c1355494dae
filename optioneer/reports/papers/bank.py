"""The page for the bank: what is bought, from whom, on what terms, and what covers the debt."""

from collections.abc import Iterator

from optioneer.model.case import Case
from optioneer.reports.cash.terms import dealer_table, uncovered_days
from optioneer.reports.page.cautions import COVER_MEANS, FOR_THE_BANK
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Bullets, Heading, Page, Paragraph, Part, Table
from optioneer.study.account.account import AccountStudy
from optioneer.study.account.answers import BankAnswer, CoverYear

NONE = "-"


def bank_page(case: Case, told: AccountStudy, answer: BankAnswer, figures: Figures) -> Page:
    """Everything that a lender asks for, on one page."""
    return (
        Heading(f"{case.machine.name}: for the bank", f"plan '{answer.plan}'"),
        *bank_parts(case, told, answer, figures),
        Bullets("Before anybody signs", FOR_THE_BANK),
        Paragraph("Place, day and signature: ______________________________"),
    )


def bank_parts(
    case: Case, told: AccountStudy, answer: BankAnswer, figures: Figures
) -> Iterator[Part]:
    """The same without title and cautions, as a part of the report."""
    ledger = next(one.ledger for one in told.plans if one.ledger.answer.id == answer.plan)
    yield Paragraph(_least(answer, figures), strong=True)
    lines = ((line.what, figures.cash(line.cents)) for line in told.study.lines)
    price = ("Price", figures.cash(answer.price_cents))
    yield Table("What is bought", ("", figures.currency), (*lines, price))
    yield from dealer_table(case, answer.price_cents, figures)
    yield _sources(answer, figures)
    yield from uncovered_days([ledger.answer], figures)
    yield _cover(answer, figures)
    yield _security(answer, figures)
    if answer.payrolls:
        rows = tuple(
            (str(one.year), figures.number(one.p10, 1), figures.number(one.p50, 1))
            for one in answer.payrolls
        )
        title = "Months of payroll in hand on the lowest day"
        yield Table(title, ("year", "P10", "P50"), rows)


def _least(answer: BankAnswer, figures: Figures) -> str:
    if answer.least_p10 is None or answer.least_p50 is None:
        return "Nothing is owed under this plan: there is no debt to cover."
    p10, p50 = (figures.number(one, 2) for one in (answer.least_p10, answer.least_p50))
    return (
        f"In the tightest year what is left covers what is due {p50} times in half of the futures, "
        f"{p10} times or less in one of ten."
    )


def _sources(answer: BankAnswer, figures: Figures) -> Table:
    rows = tuple(
        ("from" if one.source else "to", figures.cash(one.cents), one.what)
        for one in answer.sources
    )
    title = "Where the money for the price comes from, and where it goes"
    return Table(title, ("", figures.currency, "who"), rows, text_last=True)


def _cover(answer: BankAnswer, figures: Figures) -> Table:
    rows = tuple(
        (
            str(year.year),
            figures.cash(year.left.p10),
            figures.cash(year.left.p50),
            figures.cash(year.service_cents),
            *(_times(one, figures) for one in (year.p10, year.p50, year.half)),
        )
        for year in answer.indebted
    )
    heads = ("year", "left P10", "left P50", "due", "cover P10", "cover P50", "half the work")
    return Table("Cover of what is due, by year", heads, rows, note=COVER_MEANS)


def _times(ratio: float | None, figures: Figures) -> str:
    return NONE if ratio is None else figures.number(ratio, 2)


def _security(answer: BankAnswer, figures: Figures) -> Table:
    rows = tuple(
        (
            str(year.year),
            figures.cash(year.owed_cents),
            figures.cash(year.worth_cents),
            _owed_share(year, figures),
        )
        for year in answer.indebted
    )
    heads = ("end of", "owed", "machine worth", "owed of it")
    note = "The bare machine, by the share of its price that the case expects to be left."
    return Table("What secures it", heads, rows, note=note)


def _owed_share(year: CoverYear, figures: Figures) -> str:
    if not year.worth_cents:
        return NONE
    return figures.share(year.owed_cents / year.worth_cents)
