"""The likeliest future in formulas: what the NPC of the advised package is made of there."""

from collections.abc import Sequence

from xlsxwriter import Workbook

from optioneer.reports.sheets.writing import FIRST, Formula, Leaf, Looks
from optioneer.study.papers.likeliest_account import LikeliestAccount, LikelyWork

INPUTS = "likeliest"
WORK = "work"
LATER = "fitted later"


def write_likeliest(book: Workbook, looks: Looks, account: LikeliestAccount) -> str:
    """Write the sheets 'likeliest', 'work' and 'fitted later'; the cell of the NPC."""
    first = Leaf(book.add_worksheet(INPUTS), looks)
    work = Leaf(book.add_worksheet(WORK), looks)
    later = Leaf(book.add_worksheet(LATER), looks)
    names = _inputs(first, account)
    _work(work, account, names)
    present = _later(later, account, names)
    return _periods(first, account, names, present)


def _inputs(leaf: Leaf, account: LikeliestAccount) -> dict[str, str]:
    """The figures that the formulas use, by name, and where they stand."""
    looks, clock = leaf.looks, account.timeline
    title = "The advised package in the likeliest future"
    note = (
        "Work at least as likely as not arrives in its likeliest year with its likeliest margin, "
        "the rest never; later retrofits are the best for that. Money in is below zero."
    )
    leaf.begin(title, note, ("figure", "value"), (44, 18, 16, 16, 16, 16, 18, 18))
    figures = {
        "discount rate a year": clock.rate,
        "rise of retrofit prices a year": clock.inflation,
        "years from order to first chips": clock.lead,
        "periods a year": float(clock.periods_per_year),
        "periods": float(clock.periods),
        "base price": account.base_price,
        "options, less discounts and credits": account.beyond,
        "value of paying for the order, per unit": account.order_factor,
        "value of paying for a retrofit, per unit": account.retrofit_factors[0],
        "margin of a working day": account.margin_per_day,
        "resale of the machine at the horizon": account.base_resale,
        "resale of what is fitted then": account.resale,
        "works on the site that the order needs": account.site,
    }
    names: dict[str, str] = {}
    for row, (name, value) in enumerate(figures.items(), FIRST):
        leaf.write(row, 0, name, looks.text)
        look = looks.factor if abs(value) < 100 else looks.money  # noqa: PLR2004 - only a look
        names[name] = f"{INPUTS}!{leaf.write(row, 1, value, look)}"
    return names


def _growth_years(row: str, names: dict[str, str]) -> str:
    """Years after first chips at the start of the period in a cell."""
    return f"{row}/{names['periods a year']}"


def _work(leaf: Leaf, account: LikeliestAccount, names: dict[str, str]) -> None:
    """One row a stream and period in which it is there: the margin that the machine cannot earn."""
    looks, clock = leaf.looks, account.timeline
    heads = (
        *("stream", "period", "likeliest margin a year", "growth a year", "share earned"),
        "margin not earned a year",
    )
    note = "One row for each stream and period in which it is there."
    leaf.begin("Work in the likeliest future", note, heads, (28, 10, 20, 14, 14, 22))
    row = FIRST
    for one in account.work:
        for period in range(one.arrival, one.end):
            line = row + 1
            leaf.write(row, 0, one.stream, looks.text)
            leaf.write(row, 1, float(period), looks.text)
            leaf.write(row, 2, one.margin, looks.money)
            leaf.write(row, 3, one.growth, looks.factor)
            leaf.write(row, 4, one.earned[period], looks.factor)
            years = _growth_years(f"B{line}", names)
            text = f"=C{line}*(1+D{line})^({years})*(1-E{line})"
            lost = _lost(one, period, clock.periods_per_year)
            leaf.write(row, 5, Formula(text, lost), looks.money)
            row += 1
    leaf.end(row - 1, len(heads))


def _lost(one: LikelyWork, period: int, periods_per_year: int) -> float:
    grown: float = (1.0 + one.growth) ** (period / periods_per_year)
    return one.margin * grown * (1.0 - one.earned[period])


def _later(leaf: Leaf, account: LikeliestAccount, names: dict[str, str]) -> tuple[str, float]:
    """One row a later fitting or call-out; the cell and value of their present cost."""
    looks = leaf.looks
    heads = (
        *("option or call-out", "period", "price", "multiplier", "downtime days"),
        *("cost when fitted", "present cost"),
    )
    note = "What the likeliest future makes worth fitting later, and the visits it takes."
    leaf.begin("Fitted later in the likeliest future", note, heads, (36, 10, 16, 12, 12, 18, 18))
    rows = [(f.option, f.period, f.price, f.multiplier, f.downtime_days) for f in account.fittings]
    rows += [(f"call-out {v.name}", v.period, v.charge, 1.0, 0.0) for v in account.visits]
    total = 0.0
    for row, one in enumerate(rows, FIRST):
        total += _write_fitting(leaf, account, names, (row, one))
    end = FIRST + len(rows)
    leaf.write(end, 0, "total", looks.total)
    span = f"G{FIRST + 1}:G{end}" if rows else "0"
    at = leaf.write(end, 6, Formula(f"=SUM({span})", total), looks.total)
    leaf.end(end, len(heads))
    return f"'{LATER}'!{at}", total


def _write_fitting(
    leaf: Leaf,
    account: LikeliestAccount,
    names: dict[str, str],
    what: tuple[int, tuple[str, int, float, float, float]],
) -> float:
    """Write one later fitting or call-out into its row; its present cost."""
    looks, clock = leaf.looks, account.timeline
    lead = names["years from order to first chips"]
    row, (name, period, price, multiplier, days) = what
    factor = account.retrofit_factors[period]
    told = names["value of paying for a retrofit, per unit"]
    # Tax is paid on set days, so that what a retrofit is worth hangs on when it is fitted.
    paying = told if factor == account.retrofit_factors[0] else f"{factor:.15g}"
    line = row + 1
    leaf.write(row, 0, name, looks.text)
    leaf.write(row, 1, float(period), looks.text)
    for column, value, look in (
        (2, price, looks.money),
        (3, multiplier, looks.factor),
        (4, days, looks.factor),
    ):
        leaf.write(row, column, value, look)
    since = f"({lead}+{_growth_years(f'B{line}', names)})"
    text = (
        f"=C{line}*D{line}*{paying}"
        f"*(1+{names['rise of retrofit prices a year']})^{since}"
        f"+E{line}*{names['margin of a working day']}"
    )
    paid = price * multiplier * factor * float(clock.price_level[period])
    paid += days * account.margin_per_day
    leaf.write(row, 5, Formula(text, paid), looks.money)
    text = f"=F{line}*(1+{names['discount rate a year']})^(-{since})"
    present = paid * float(clock.at_start[period])
    leaf.write(row, 6, Formula(text, present), looks.money)
    return present


def _periods(
    leaf: Leaf, account: LikeliestAccount, names: dict[str, str], later: tuple[str, float]
) -> str:
    """One row a period, and the sum of everything; the cell of the NPC."""
    looks, clock = leaf.looks, account.timeline
    top = FIRST + len(names) + 1
    heads = ("period", "years after first chips", "factor", "upkeep a year")
    for column, head in enumerate((*heads, "margin not earned a year", "present cost")):
        leaf.write(top, column, head, looks.head)
    rate, lead = names["discount rate a year"], names["years from order to first chips"]
    total = 0.0
    for t in range(clock.periods):
        row = top + 1 + t
        line = row + 1
        lost = sum(
            _lost(one, t, clock.periods_per_year)
            for one in account.work
            if one.arrival <= t < one.end
        )
        leaf.write(row, 0, float(t), looks.text)
        years = Formula(f"={_growth_years(f'A{line}', names)}", float(clock.years[t]))
        leaf.write(row, 1, years, looks.factor)
        middle = f"B{line}+0.5/{names['periods a year']}"
        text = f"=(1+{rate})^(-({lead}+{middle}))"
        leaf.write(row, 2, Formula(text, float(clock.during[t])), looks.factor)
        leaf.write(row, 3, account.upkeep[t], looks.money)
        text = f"=SUMIF({WORK}!$B:$B,A{line},{WORK}!$F:$F)"
        leaf.write(row, 4, Formula(text, lost), looks.money)
        present = float(clock.during[t]) * clock.dt * (account.upkeep[t] + lost)
        text = f"=C{line}/{names['periods a year']}*(D{line}+E{line})"
        leaf.write(row, 5, Formula(text, present), looks.money)
        total += present
    span = (top + 2, top + 1 + clock.periods)
    return _sum(leaf, account, names, (span, (total, later)))


def _terms(
    account: LikeliestAccount,
    names: dict[str, str],
    parts: tuple[tuple[int, int], tuple[float, tuple[str, float]]],
) -> Sequence[tuple[str, Formula]]:
    """What the NPC is made of."""
    clock = account.timeline
    (first, last), (flows, (later_at, later)) = parts
    price = account.order_factor * (account.base_price + account.beyond)
    back = -float(clock.at_start[-1]) * (account.base_resale + account.resale)
    horizon = (
        f"({names['years from order to first chips']}+{names['periods']}/{names['periods a year']})"
    )
    return (
        (
            "order",
            Formula(
                f"={names['value of paying for the order, per unit']}*({names['base price']}"
                f"+{names['options, less discounts and credits']})",
                price,
            ),
        ),
        (
            "works on the site",
            Formula(f"={names['works on the site that the order needs']}", account.site),
        ),
        ("upkeep and margin not earned", Formula(f"=SUM(F{first}:F{last})", flows)),
        ("fitted later", Formula(f"={later_at}", later)),
        (
            "resale",
            Formula(
                f"=0-(1+{names['discount rate a year']})^(-{horizon})"
                f"*({names['resale of the machine at the horizon']}"
                f"+{names['resale of what is fitted then']})",
                back,
            ),
        ),
    )


def _sum(
    leaf: Leaf,
    account: LikeliestAccount,
    names: dict[str, str],
    parts: tuple[tuple[int, int], tuple[float, tuple[str, float]]],
) -> str:
    """What the NPC is made of, and the NPC; its cell."""
    looks, ((_, last), _) = leaf.looks, parts
    rows = _terms(account, names, parts)
    row = last + 1
    for name, formula in rows:
        leaf.write(row, 0, name, looks.text)
        leaf.write(row, 1, formula, looks.money)
        row += 1
    leaf.write(row, 0, "net present cost in the likeliest future", looks.total)
    text = f"=SUM(B{last + 2}:B{row})"
    at = leaf.write(row, 1, Formula(text, account.npc), looks.total)
    leaf.end(row, len(rows) + 1)
    return f"{INPUTS}!{at}"
