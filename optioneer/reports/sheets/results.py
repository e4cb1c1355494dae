"""The results as a workbook: figures with live formulas where a person would check them."""

from collections.abc import Sequence
from dataclasses import dataclass

from xlsxwriter import Workbook
from xlsxwriter.utility import xl_col_to_name

from optioneer.model.case import Case
from optioneer.money.cents import amount_of
from optioneer.money.ledger import KINDS
from optioneer.reports.page.cautions import cautions
from optioneer.reports.sheets.bank import write_bank
from optioneer.reports.sheets.likeliest import write_likeliest
from optioneer.reports.sheets.workbook import new_workbook
from optioneer.reports.sheets.writing import FIRST, HEAD, Formula, Leaf, Looks
from optioneer.study.account.answers import BankAnswer
from optioneer.study.advice.answers import Advice
from optioneer.study.cash.cash import CashStudy, PlanLedger
from optioneer.study.cash.price import PriceLine
from optioneer.study.papers.likeliest_account import LikeliestAccount

LONGEST_NAME = 31
"""Longest name of a sheet [characters]."""


@dataclass(frozen=True)
class Results:
    """What the workbook shows."""

    case: Case
    advice: Advice
    lines: tuple[PriceLine, ...]
    account: LikeliestAccount
    cash: CashStudy | None
    version: str
    bank: BankAnswer | None = None


def results_workbook(results: Results) -> bytes:
    """The bytes of the workbook; the same results give the same bytes."""
    book, buffer = new_workbook(f"{results.case.machine.name}: results")
    looks = Looks(book, results.advice.currency)
    summary = Leaf(book.add_worksheet("summary"), looks)
    price = _price(Leaf(book.add_worksheet("price"), looks), results)
    _options(Leaf(book.add_worksheet("options"), looks), results)
    _packages(Leaf(book.add_worksheet("packages"), looks), results)
    if results.advice.frontier:
        _frontier(book, Leaf(book.add_worksheet("budgets"), looks), results)
    for number, ledger in enumerate(results.cash.ledgers if results.cash else (), 1):
        name = f"cash {number} {ledger.answer.id}"[:LONGEST_NAME]
        _ledger(book, Leaf(book.add_worksheet(name), looks), ledger)
    if results.bank is not None:
        write_bank(book, looks, results.bank)
    npc = write_likeliest(book, looks, results.account)
    _summary(summary, results, price, npc)
    book.close()
    return buffer.getvalue()


def _summary(leaf: Leaf, results: Results, price: str, npc: str) -> None:
    told, looks = results.advice, leaf.looks
    title = f"{results.case.machine.name}: what the advised package costs"
    note = f"{told.futures} futures, seed {told.seed}, Optioneer {results.version}"
    leaf.begin(title, note, ("figure", told.currency, "meaning"), (34, 18, 90))
    advised = told.advised
    rows: list[tuple[str, float | Formula, str]] = [
        ("price", Formula(f"={price}", advised.price), "Sum of the sheet 'price'."),
        ("net present cost", advised.npc, "Mean over all futures; packages are compared by it."),
        ("standard error", advised.npc_se, "Of the net present cost."),
        ("outcome", advised.outcome.mean, "Margin earned less all that is paid."),
        ("P10", advised.outcome.p10, "One future in ten leaves less."),
        ("P50", advised.outcome.p50, "Half of the futures leave less."),
        ("P90", advised.outcome.p90, "One future in ten leaves more."),
        ("worst tenth", advised.outcome.worst_tenth, "Mean of the lowest tenth of outcomes."),
        ("not buying", advised.outcome.not_buying, "Outcome without any machine."),
        ("hindsight", advised.hindsight, "Retrofits timed with the future known."),
        (
            "in the likeliest future",
            Formula(f"={npc}", results.account.npc),
            "Added up by formulas in the sheets 'likeliest', 'work' and 'fitted later'.",
        ),
    ]
    for row, (name, value, meaning) in enumerate(rows, FIRST):
        leaf.write(row, 0, name, looks.text)
        leaf.write(row, 1, value, looks.money)
        leaf.write(row, 2, meaning, looks.text)
    last = FIRST + len(rows) + 1
    for row, sentence in enumerate(cautions(results.case), last):
        leaf.write(row, 0, "caution", looks.text)
        leaf.write(row, 2, sentence, looks.text)
        leaf.tall(row, sentence, 90)
    leaf.end(last + len(cautions(results.case)), 3)
    leaf.sheet.activate()


def _price(leaf: Leaf, results: Results) -> str:
    """The lines of the advised package and their sum; the name of its cell."""
    looks, lines = leaf.looks, results.lines
    heads = ("line", "what", results.advice.currency)
    leaf.begin("Price of the advised package", "What the dealer is paid.", heads, (28, 60, 18))
    for row, line in enumerate(lines, FIRST):
        leaf.write(row, 0, line.belongs_to, looks.text)
        leaf.write(row, 1, line.what, looks.text)
        leaf.write(row, 2, amount_of(line.cents, looks.currency), looks.money)
    end = FIRST + len(lines)
    total = amount_of(sum(line.cents for line in lines), looks.currency)
    leaf.write(end, 0, "total", looks.total)
    leaf.write(end, 1, None, looks.total)
    at = leaf.write(end, 2, Formula(f"=SUM(C{FIRST + 1}:C{end})", total), looks.total)
    leaf.end(end, len(heads))
    return f"price!{at}"


def _options(leaf: Leaf, results: Results) -> None:
    looks, known = leaf.looks, results.case.catalogue.by_id
    heads = (
        *("option", "name", "price", "verdict", "otherwise", "standard error", "close call"),
        *("chance fitted later", "median year", "present cost fitted later", "regret share"),
    )
    note = "otherwise: what the other choice costs, everything else chosen as well as possible."
    leaf.begin("Verdicts", note, heads, (26, 48, 14, 18, 14, 14, 10, 12, 10, 16, 10))
    for row, one in enumerate(results.advice.options, FIRST):
        option = known[one.option]
        texts = ((0, one.option), (1, option.name), (3, one.verdict))
        for column, text in (*texts, (6, "yes" if one.close_call else "")):
            leaf.write(row, column, text or None, looks.text)
        amounts = ((2, option.price), (4, one.otherwise), (5, one.otherwise_se))
        for column, amount in (*amounts, (9, one.present_cost_fitted_later)):
            leaf.write(row, column, amount, looks.money)
        for column, share in ((7, one.chance_fitted_later), (10, one.regret_share)):
            leaf.write(row, column, share, looks.share)
        leaf.write(row, 8, one.median_year_fitted, looks.text)
        leaf.tall(row, option.name, 48)
    last = FIRST + len(results.advice.options) - 1
    leaf.sheet.autofilter(HEAD, 0, last, len(heads) - 1)
    leaf.end(last, len(heads))


def _packages(leaf: Leaf, results: Results) -> None:
    """Packages side by side, with their differences as formulas."""
    looks, told = leaf.looks, results.advice
    heads = (
        *("package", "price", "net present cost", "standard error"),
        *("price more than advised", "net present cost more than advised"),
    )
    note = "All packages on the same futures: differences are far surer than levels."
    leaf.begin("Packages side by side", note, heads, (28, 18, 18, 16, 22, 22))
    packages = (told.advised, *(one for one in told.packages if one.id != told.advised.id))
    for row, one in enumerate(packages, FIRST):
        leaf.write(row, 0, one.id, looks.text)
        for column, amount in ((1, one.price), (2, one.npc), (3, one.npc_se)):
            leaf.write(row, column, amount, looks.money)
        for column, value, base in (
            (4, one.price, told.advised.price),
            (5, one.npc, told.advised.npc),
        ):
            letter = xl_col_to_name(column - 3)
            text = f"={letter}{row + 1}-{letter}${FIRST + 1}"
            leaf.write(row, column, Formula(text, value - base), looks.money)
    leaf.end(FIRST + len(packages) - 1, len(heads))


def _frontier(book: Workbook, leaf: Leaf, results: Results) -> None:
    looks, points = leaf.looks, results.advice.frontier
    heads = ("price", "net present cost", "options")
    note = "The best package that costs no more than its price."
    leaf.begin("What each budget buys", note, heads, (18, 18, 110))
    for row, point in enumerate(points, FIRST):
        leaf.write(row, 0, point.price, looks.money)
        leaf.write(row, 1, point.npc, looks.money)
        fitted = "; ".join(point.options)
        leaf.write(row, 2, fitted, looks.text)
        leaf.tall(row, fitted, 110)
    last = FIRST + len(points) - 1
    chart = book.add_chart({"type": "scatter", "subtype": "straight_with_markers"})
    span = (leaf.sheet.get_name(), FIRST)
    chart.add_series(
        {"name": heads[1], "categories": [*span, 0, last, 0], "values": [*span, 1, last, 1]}
    )
    chart.set_title({"name": note})
    chart.set_x_axis({"name": f"price, {results.advice.currency}"})
    least, most = min(p.npc for p in points), max(p.npc for p in points)
    lowest = round(least - 0.1 * (most - least), -3)
    chart.set_y_axis({"name": f"net present cost, {results.advice.currency}", "min": lowest})
    chart.set_legend({"none": True})
    worst, best = points[0], min(points, key=lambda point: point.npc)
    described = (
        f"Net present cost of the best package by budget, from {worst.npc:,.0f} at a price of "
        f"{worst.price:,.0f} to {best.npc:,.0f} at {best.price:,.0f}."
    )
    leaf.sheet.insert_chart(last + 2, 0, chart, {"description": described, "x_scale": 1.6})
    leaf.end(last + 18, len(heads))


def _ledger(book: Workbook, leaf: Leaf, ledger: PlanLedger) -> None:
    """One way of paying day by day, its balance and sums as formulas."""
    looks, entries = leaf.looks, ledger.answer.entries
    heads = ("date", "amount", "balance", "kind", "what", "payee")
    opening = entries[0].balance_cents - entries[0].cents if entries else 0
    note = "Money out is below zero. The balance is that of the account after each entry."
    title = f"Way of paying: {ledger.deal.plan.name or ledger.answer.id}"
    leaf.begin(title, note, heads, (14, 18, 18, 14, 60, 26))
    leaf.write(FIRST, 0, "opening", looks.text)
    leaf.write(FIRST, 2, amount_of(opening, looks.currency), looks.money)
    for row, one in enumerate(entries, FIRST + 1):
        leaf.write(row, 0, one.date, looks.day)
        leaf.write(row, 1, amount_of(one.cents, looks.currency), looks.money)
        balance = Formula(
            f"=ROUND(C{row}+B{row + 1},{looks.places})",
            amount_of(one.balance_cents, looks.currency),
        )
        leaf.write(row, 2, balance, looks.money)
        for column, text in ((3, one.kind), (4, one.what), (5, one.payee)):
            leaf.write(row, column, text, looks.text)
    last = FIRST + len(entries)
    end = _sums(leaf, ledger, last)
    _balance_chart(book, leaf, ledger, (last, end + 2))
    leaf.end(end + 20, len(heads))


def _sums(leaf: Leaf, ledger: PlanLedger, last: int) -> int:
    """Sums by kind, and the sum of all, below the last entry; the row of the last of them."""
    looks, entries = leaf.looks, ledger.answer.entries
    kinds = [kind for kind in KINDS if any(one.kind == kind for one in entries)]
    span = f"$D${FIRST + 2}:$D${last + 1}", f"$B${FIRST + 2}:$B${last + 1}"
    row = last + 2
    for kind in kinds:
        cents = sum(one.cents for one in entries if one.kind == kind)
        total = amount_of(cents, looks.currency)
        leaf.write(row, 0, kind, looks.text)
        text = f'=ROUND(SUMIF({span[0]},"{kind}",{span[1]}),{looks.places})'
        leaf.write(row, 1, Formula(text, total), looks.money)
        row += 1
    whole = amount_of(sum(one.cents for one in entries), looks.currency)
    leaf.write(row, 0, "all entries", looks.total)
    first = last + 3
    leaf.write(row, 1, Formula(f"=ROUND(SUM(B{first}:B{row}),{looks.places})", whole), looks.total)
    row += 1
    opening = entries[0].balance_cents - entries[0].cents if entries else 0
    balances = [opening, *(one.balance_cents for one in entries)]
    leaf.write(row, 0, "lowest balance after an entry", looks.text)
    text = f"=MIN(C{FIRST + 1}:C{last + 1})"
    leaf.write(row, 2, Formula(text, amount_of(min(balances), looks.currency)), looks.money)
    row += 1
    leaf.write(row, 0, "opening + all entries - last balance", looks.text)
    text = f"=ROUND(C{FIRST + 1}+B{row - 1}-C{last + 1},{looks.places})"
    leaf.write(row, 2, Formula(text, 0.0), looks.money)
    return row


def _balance_chart(book: Workbook, leaf: Leaf, ledger: PlanLedger, place: Sequence[int]) -> None:
    last, row = place
    answer = ledger.answer
    if not answer.entries:
        return
    chart = book.add_chart({"type": "line"})
    span = (leaf.sheet.get_name(), FIRST + 1)
    chart.add_series(
        {"name": "balance", "categories": [*span, 0, last, 0], "values": [*span, 2, last, 2]}
    )
    chart.set_title({"name": "Balance of the account"})
    chart.set_x_axis({"date_axis": True, "num_format": "yyyy-mm"})
    chart.set_legend({"none": True})
    low, places = amount_of(answer.lowest.cents, leaf.looks.currency), leaf.looks.places
    described = (
        f"Balance of the account from {answer.entries[0].date} to {answer.entries[-1].date}; the "
        f"lowest is {low:,.{places}f} on {answer.lowest.date}."
    )
    leaf.sheet.insert_chart(row, 0, chart, {"description": described, "x_scale": 1.8})
