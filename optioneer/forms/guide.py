"""What the entry workbook says to those who fill it in: a guide, examples, what blank means."""

from collections.abc import Mapping

from optioneer.forms.columns import SEPARATOR, Column, scalar

GUIDE_LINES = (
    (
        "One sheet a table of the case. Fill in the cells that are not locked, then take the "
        "workbook in with: optioneer take-in FILE.xlsx DIR"
    ),
    (
        "Rows below the headings are entries, one a row; blank rows are skipped. Rows marked "
        "'unit' and 'example' only explain. Keep all sheets, blank if need be."
    ),
    (
        "Blank means what the guide below says. Nothing is guessed: what cannot be read is named "
        "by sheet and cell, all at once, and nothing is written before all of it can be read."
    ),
    (
        "Ids are lower-case letters and digits joined by hyphens. Lists have semicolons between "
        "their entries; - alone is a list with nothing in it. Shares and rates are fractions: "
        "0.25 or 25 %."
    ),
    (
        "Sheets of your own are left alone. Planning figures: contract terms, tax, power, air and "
        "rigging are for people licensed for them where you are."
    ),
)
"""How to fill the workbook in."""

EXAMPLES: Mapping[str, str | float] = {
    "id": "robot-work",
    "growth": 0.02,
    "swing": 0.1,
    "fallback": 0.2,
    "retrofit_inflation": 0.03,
    "deposit": 0.1,
    "futures": 4096,
    "seed": 7,
    "runs": 4000,
    "lead": 0.6,
    "nudge": 0.5,
    "allowed_drop": 0.03,
    "voltage_tolerance": 0.1,
    "every_months": 1,
    "year_starts_month": 1,
    "eased_by": "robot-interface",
    "call_out": "default",
    "supplier": "electrician",
    "option": "auto-door",
    "options": "auto-door; robot-interface",
    "without": "work-light",
    "requires": "robot-interface",
    "excludes": "manual-door",
    "name": "Automatic door",
    "kind": "mill-turn",
    "slot": "door",
    "price": 4800.0,
    "later_price": 5300.0,
    "base_price": 312000.0,
    "currency": "USD",
    "charge": 1800.0,
    "discount": 2500.0,
    "chance": "0.4; 0.6; 0.75",
    "years_low": 1,
    "years_likely": 2,
    "years_high": 5,
    "margin_low": 20000,
    "margin_likely": 35000,
    "margin_high": 70000,
    "multiplier_low": 1.5,
    "multiplier_likely": 2.0,
    "multiplier_high": 3.0,
    "horizon_years": 10,
    "discount_rate": 0.09,
    "stream": "robot-work",
    "driver": "automation",
    "drivers": "automation",
    "loading": 0.6,
    "plan": "bank",
    "use": "bank",
    "country": "US",
    "subdivision": "OH",
    "depreciation": "straight-line-8",
    "pays": "04-15; 09-15; 01-15 next year",
    "when": "order + 90 days",
    "due": "each payment",
    "in_service": "first_chips",
    "day": 28,
    "months": 60,
    "monthly": 14500.0,
    "share": 0.4,
    "rate": 0.07,
    "device_ratings_a": "100; 125; 150",
    "on": "bay-1; bay-2",
    "to": "bay-3",
    "trades": "electrician",
    "what": "Transformer 75 kVA",
    "weekdays": "mon; tue; wed; thu; fri",
    "holiday": "2027-12-27; 2027-12-28",
}
"""Examples by heading; invented."""

_MONEY, _SHARE = 1200.0, 0.25
_BY_KIND: Mapping[str, str | float] = {
    "number": 1.5,
    "whole": 4,
    "either": 0.4,
    "one-or-three": "2; 4; 7",
    "date": "2027-02-01",
    "day": "order + 90 days",
    "yes-no": "yes",
    "list": "bay-1; bay-2",
    "text": "text",
}


def example(column: Column) -> str | float:
    """An example of what a cell may hold."""
    if column.heading in EXAMPLES and column.kind != "word":
        return EXAMPLES[column.heading]
    if column.kind == "number" and column.is_money:
        return _MONEY
    if column.kind == "number" and column.heading.endswith("share"):
        return _SHARE
    return column.words[0] if column.kind == "word" else _BY_KIND[column.kind]


def blank_means(column: Column) -> str:
    """What a blank cell means."""
    if column.required:
        return "must be filled in"
    if column.part is not None or column.default is None:
        return "none"
    said = scalar(column.default)
    if isinstance(said, float):
        return f"{said:.15g}"
    return "nothing" if said is None else str(said)


def column_text(column: Column) -> str:
    """A column in a few sentences: meaning, words allowed, what blank means."""
    words = f" One of: {', '.join(column.words)}." if column.kind in {"word", "whole"} else ""
    several = f" Several with '{SEPARATOR.strip()}' between." if column.kind == "list" else ""
    words = words if column.words else ""
    return f"{column.meaning}{words}{several} Blank: {blank_means(column)}."
