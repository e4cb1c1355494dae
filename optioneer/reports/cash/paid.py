"""Payments as a table: single ones with their day, instalments as one line."""

from collections.abc import Collection, Sequence

from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Table
from optioneer.study.cash.payments import Paid, Series, series


def payments_table(
    title: str, paid: Sequence[Paid], figures: Figures, *, together: Collection[str] = ()
) -> Table:
    """What is paid when, to whom and for what; money that comes in has a plus.

    Parameters
    ----------
    paid
        By day.
    together
        Kinds told as one line each, whatever they are for.
    """
    rows = tuple(_row(one, figures) for one in series(paid, together=together))
    heads = ("when", "amount", "what, to whom")
    return Table(title, heads, rows, text_last=True)


def _row(one: Series, figures: Figures) -> tuple[str, str, str]:
    first, last = one.payments[0], one.payments[-1]
    if len(one.payments) == 1:
        lent = f"; {figures.cash(first.lent)} by the lender" if first.lent else ""
        return first.date.isoformat(), _amount(first, figures), f"{_what(one)}{lent}"
    when = f"{first.date.isoformat()} to {last.date.isoformat()}"
    amounts = sorted({abs(paid.cents) for paid in one.payments})
    each = _between(amounts[0], amounts[-1], figures)
    total = figures.cash(abs(sum(paid.cents for paid in one.payments)))
    sign = "+" if first.cents > 0 else ""
    return when, f"{sign}{total}", f"{_what(one)}: {len(one.payments)} payments, {each}"


def _between(least: int, most: int, figures: Figures) -> str:
    if least == most:
        return f"{figures.cash(most)} each"
    return f"{figures.cash(least)} to {figures.cash(most)}"


def _amount(paid: Paid, figures: Figures) -> str:
    sign = "+" if paid.cents > 0 else ""
    return f"{sign}{figures.cash(abs(paid.cents))}"


def _what(one: Series) -> str:
    payees = list(dict.fromkeys(paid.payee for paid in one.payments))
    return f"{one.what} ({payees[0]})" if len(payees) == 1 else one.what
