"""Every table of a case that people edit in a grid, in the order of the work."""

from collections.abc import Mapping, Sequence

from optioneer.forms.schema import TABLES, FormTable

SHEETS: Mapping[str, FormTable] = {table.word: table for table in TABLES if table.word}
"""Tables by their word."""

_WORDS: Mapping[str, Sequence[str]] = {
    "Machine": ("machine", "hours", "dates", "call-outs"),
    "Options": ("options",),
    "Packages": ("packages", "bundles"),
    "Work": ("streams", "ways", "drivers", "growth"),
    "Paying": (
        *("dealer", "dealer-stages", "plans", "stages", "steps", "account", "regular", "pay-days"),
        *("sales-tax", "income-tax", "use"),
    ),
    "Site": (
        *("shop", "needs", "air", "compressors", "transformers", "loads", "openings", "supplies"),
        *("suppliers", "trades", "crew", "items", "tasks", "calendar", "shutdowns", "plan"),
    ),
}

GROUPS: Mapping[str, Sequence[FormTable]] = {
    group: tuple(SHEETS[word] for word in words) for group, words in _WORDS.items()
}
"""Tables by what people call the part of the case."""
