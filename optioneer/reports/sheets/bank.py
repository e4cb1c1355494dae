"""What a lender sees, as a sheet whose cover and security are added up by formulas."""

from xlsxwriter import Workbook

from optioneer.money.cents import amount_of
from optioneer.reports.page.cautions import COVER_MEANS, FOR_THE_BANK
from optioneer.reports.sheets.writing import FIRST, Formula, Leaf, Looks
from optioneer.study.account.answers import BankAnswer, CoverYear

HEADS = (
    *("year", "rest of the business", "left, P10", "left, P50", "half the work, P50", "due"),
    *("cover, P10", "cover, P50", "cover, half the work", "owed at its end", "machine worth"),
    "owed of it",
)
"""Headings; the first six, owed and worth are figures, the others formulas over them."""


def write_bank(book: Workbook, looks: Looks, answer: BankAnswer) -> None:
    """The sheet 'bank': cover and security year by year under one plan."""
    leaf = Leaf(book.add_worksheet("bank"), looks)
    title = f"For the bank: plan '{answer.plan}'"
    leaf.begin(title, COVER_MEANS, HEADS, (8, *(16,) * (len(HEADS) - 1)))
    years = answer.indebted
    for row, year in enumerate(years, FIRST):
        _year(leaf, row, year)
    row = FIRST + len(years)
    leaf.write(row, 0, "least", looks.text)
    for column, least in ((6, answer.least_p10), (7, answer.least_p50)):
        if least is not None:
            letter = "ABCDEFGHIJKL"[column]
            text = f"=MIN({letter}{FIRST + 1}:{letter}{row})"
            leaf.write(row, column, Formula(text, least), looks.factor)
    row = _sources(leaf, row + 2, answer)
    for caution in FOR_THE_BANK:
        row += 1
        leaf.write(row, 0, caution, looks.head)
    leaf.end(row, len(HEADS))


def _year(leaf: Leaf, row: int, year: CoverYear) -> None:
    looks = leaf.looks
    leaf.write(row, 0, year.year, looks.text)
    cents = (year.rest_cents, year.left.p10, year.left.p50, year.half_cents, year.service_cents)
    for column, one in enumerate(cents, 1):
        leaf.write(row, column, amount_of(one, looks.currency), looks.money)
    over = zip((6, 7, 8), "CDE", (year.p10, year.p50, year.half), strict=True)
    for column, left, ratio in over:
        if ratio is not None:
            text = f"={left}{row + 1}/F{row + 1}"
            leaf.write(row, column, Formula(text, ratio), looks.factor)
    for column, one in ((9, year.owed_cents), (10, year.worth_cents)):
        leaf.write(row, column, amount_of(one, looks.currency), looks.money)
    if year.worth_cents:
        text = f"=J{row + 1}/K{row + 1}"
        leaf.write(row, 11, Formula(text, year.owed_cents / year.worth_cents), looks.share)


def _sources(leaf: Leaf, row: int, answer: BankAnswer) -> int:
    """Where the price comes from and where it goes, and that the two are the same."""
    looks, first = leaf.looks, row
    for one in answer.sources:
        sign = 1 if one.source else -1
        leaf.write(row, 0, "from" if one.source else "to", looks.text)
        leaf.write(row, 1, amount_of(sign * one.cents, looks.currency), looks.money)
        leaf.write(row, 2, one.what, looks.text)
        row += 1
    leaf.write(row, 0, "rest", looks.text)
    text = f"=ROUND(SUM(B{first + 1}:B{row}),{looks.places})"
    leaf.write(row, 1, Formula(text, 0.0), looks.money)
    return row + 1
