"""The ledger of one way of paying: what is looked for, whether it adds up, what would cure it."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from optioneer.model.case import Case
from optioneer.money.ledger import KINDS, EntryKind
from optioneer.reports.cash.rows import ChartRow
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Page, Paragraph, Table
from optioneer.study.cash.answers import CashEntry, PlanCash
from optioneer.study.cash.cash import PlanLedger
from optioneer.study.cash.cures import Cure

MEANINGS: Mapping[EntryKind, str] = {
    "contract": "paid to the dealer, whoever pays",
    "drawdown": "what a lender or lessor pays towards it",
    "principal": "paid back to the lender",
    "interest": "paid to the lender",
    "fee": "paid to the lender or lessor",
    "rent": "paid to the lessor",
    "buyout": "paid to the lessor at the end",
    "sales-tax": "paid, less what comes back",
    "income-tax": "saved, as planned",
    "site": "supplies, trades and movers",
    "regular": "the rest of the business",
}
"""What each kind of entry is, in the shop's words."""


def kind_called(kind: str) -> str:
    """What people call a kind of entry, e.g. `sales tax`."""
    return kind.replace("-", " ")


@dataclass(frozen=True)
class Wanted:
    """What is looked for in a ledger.

    Parameters
    ----------
    text
        Part of what it is for or of who is paid, in any case of letters; '' for all.
    first, last
        Days between which it moves, both included.
    """

    kinds: Collection[str]
    text: str
    first: date
    last: date

    def fits(self, entry: CashEntry) -> bool:
        """Whether this entry is looked for."""
        said = f"{entry.what} {entry.payee}".casefold()
        return (
            entry.kind in self.kinds
            and self.text.strip().casefold() in said
            and self.first <= entry.date <= self.last
        )


def kinds_in(plan: PlanCash) -> tuple[EntryKind, ...]:
    """Kinds of entries that a plan has, in their order."""
    found = {entry.kind for entry in plan.entries}
    return tuple(kind for kind in KINDS if kind in found)


def found_entries(plan: PlanCash, wanted: Wanted) -> tuple[CashEntry, ...]:
    """The entries that are looked for, in order."""
    return tuple(entry for entry in plan.entries if wanted.fits(entry))


def ledger_table(
    plan: PlanCash, found: Sequence[CashEntry], figures: Figures, *, most: int
) -> Table:
    """Entries of a plan, at most so many, and the sum of all that were found.

    Parameters
    ----------
    most
        Most rows; the note tells how many are left out.
    """
    total = sum(entry.cents for entry in found)
    rows = [_row(entry, figures) for entry in found[:most]]
    count = f"sum of {figures.number(len(found))}"
    rows.append((count, figures.cash(total), "", "", "all that were found"))
    rest = len(found) - most
    note = (
        f"{figures.number(rest)} more entries: narrow the search or download." if rest > 0 else ""
    )
    heads = ("day", "amount", "balance", "kind", "what (who is paid)")
    return Table(f"Ledger of '{plan.id}'", heads, tuple(rows), text_last=True, note=note)


def _row(entry: CashEntry, figures: Figures) -> tuple[str, ...]:
    what = f"{entry.what} ({entry.payee})" if entry.payee != entry.what else entry.what
    amounts = (figures.cash(entry.cents), figures.cash(entry.balance_cents))
    return (entry.date.isoformat(), *amounts, kind_called(entry.kind), what)


def balance_sentence(case: Case, plan: PlanCash, figures: Figures) -> str:
    """How low the account falls under a plan, in a sentence."""
    keep = case.paying.account.keep_above if case.paying else 0.0
    low = f"Under '{plan.id}' the account falls to {figures.cash(plan.lowest.cents)} on "
    low += plan.lowest.date.isoformat()
    if not plan.days_below:
        return f"{low}; no day ends below the {figures.quoted(keep)} to keep."
    days = figures.number(plan.days_below)
    needed = figures.cash(plan.opening_needed_cents)
    return (
        f"{low}; {days} days end below the {figures.quoted(keep)} to keep. {needed} in the account "
        "on the morning of the order would do."
    )


def reconciliation(ledger: PlanLedger, figures: Figures) -> Page:
    """The ledger by kind from opening to closing balance, and whether it is the contract."""
    plan = ledger.answer
    sums = {
        kind: sum(entry.cents for entry in plan.entries if entry.kind == kind)
        for kind in kinds_in(plan)
    }
    first, last = plan.entries[0], plan.entries[-1]
    opening = first.balance_cents - first.cents
    rows = (
        ("opening balance", figures.cash(opening), "on the morning of the order"),
        *((kind_called(kind), figures.cash(cents), MEANINGS[kind]) for kind, cents in sums.items()),
        ("closing balance", figures.cash(last.balance_cents), f"on {last.date.isoformat()}"),
    )
    heads = ("", figures.currency, "what it is")
    return (
        Paragraph(contract_sentence(plan, figures)),
        Table(f"Ledger of '{plan.id}' by kind", heads, rows, text_last=True),
    )


def contract_sentence(plan: PlanCash, figures: Figures) -> str:
    """Whether what the dealer is paid is the contract, to the cent."""
    paid = -sum(entry.cents for entry in plan.entries if entry.kind == "contract")
    contract = plan.contract_cents
    said = (
        f"The entries of kind 'contract' add up to {figures.cash(paid)}; the contract is "
        f"{figures.cash(contract)}"
    )
    if paid == contract:
        return f"{said}: it adds up, to the cent."
    return f"{said}: {figures.cash(contract - paid)} is not accounted for."


def months_table(
    plan: PlanCash, moved: Sequence[ChartRow], left: Sequence[ChartRow], figures: Figures
) -> Table:
    """The table behind the chart of a plan: paid out by month and kind, and what is then left.

    Parameters
    ----------
    moved, left
        Rows of the chart, of this plan and perhaps of others.
    """
    paid = {
        (str(row["month"])[:7], str(row["kind"])): float(row["amount"])
        for row in moved
        if row["plan"] == plan.id
    }
    closing = {
        str(row["day"])[:7]: figures.quoted(float(row["balance"]))
        for row in left
        if row["plan"] == plan.id
    }
    kinds = [kind for kind in KINDS if any(kind == named for _, named in paid)]
    rows = [
        (
            month,
            *(figures.quoted(paid[month, k]) if (month, k) in paid else "" for k in kinds),
            balance,
        )
        for month, balance in closing.items()
    ]
    sums = [sum(amount for (_, named), amount in paid.items() if named == kind) for kind in kinds]
    rows.append(("sum", *map(figures.quoted, sums), ""))
    heads = ("month", *map(kind_called, kinds), "balance at its end")
    return Table(f"Paid out under '{plan.id}' by month and kind", heads, tuple(rows))


def cures_table(found: Sequence[Cure], figures: Figures) -> Table:
    """What could be done about a low balance, and what it would leave."""
    rows = tuple(
        (
            _cure_said(cure, figures),
            figures.cash(cure.lowest_cents),
            figures.number(cure.days_below),
            cure.fault or ("not enough" if cure.days_below else "cures it"),
        )
        for cure in found
    )
    heads = ("", "lowest balance", "days below", "")
    note = (
        "With a later order every agreed day of the machine moves with it and the account has the "
        "rest of the business until then; the margin lost meanwhile is not counted."
    )
    return Table("What would cure it", heads, rows, text_last=True, note=note)


def _cure_said(cure: Cure, figures: Figures) -> str:
    return {
        "opening": f"{figures.cash(cure.opening_cents)} in the account at the order",
        "plan": f"pay by '{cure.plan}'",
        "order": f"order {cure.weeks} weeks later",
        "site": f"pay for the site {cure.weeks} weeks later",
    }[cure.kind]
