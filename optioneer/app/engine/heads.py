"""What people call columns, figures and choices of a case, and faults in these words."""

import re
from collections.abc import Mapping

from optioneer.errors import Fault, OptioneerError, Question
from optioneer.files.grid.sheet_list import SHEETS
from optioneer.files.grid.sheets import columns_in
from optioneer.forms.schema import GROWTH, MACHINE, OPTIONS, PAYING, SITE, SOURCES

PARTS: Mapping[str, str] = {
    MACHINE: "Machine",
    OPTIONS: "Options",
    GROWTH: "Work",
    PAYING: "Paying",
    SITE: "Site",
    SOURCES: "Sources",
}
"""Parts of a case by the file that states them."""

_HEADS: Mapping[str, str] = {
    "id": "short name",
    "of": "belongs to",
    "option": "short name",
    "kva": "load, kVA",
    "days_low": "days at least",
    "days_likely": "days, likeliest",
    "days_high": "days at most",
}
"""Heads that do not follow from the key."""

_HYPHENATED = frozenset({"factory-only"})
"""Choices that people write so, too."""

_UNITS: Mapping[str, str] = {
    "per_kwh": " per kWh",
    "kg_m2": ", kg/m²",
    "l_min": ", l/min",
    "mm2": ", mm²",
    "m2": ", m²",
    "kva": ", kVA",
    "mpa": ", MPa",
    "bar": ", bar",
    "hz": ", Hz",
    "kg": ", kg",
    "kw": ", kW",
    "mm": ", mm",
    "m": ", m",
    "a": ", A",
    "v": ", V",
    "l": ", l",
    "s": ", s",
}
"""Units at the end of a key, the longest first."""

_ENDS = re.compile(r"(?<=[.?!:;])\s+(?=[A-Z`'\d(])")
_COMMAND = re.compile(r"\boptioneer [a-z]+\b|`--[a-z-]+`")
_OPTION = re.compile(r":? --[a-z][a-z-]*(?: (?:or|with) --[a-z][a-z-]*)*(?: '[^']*')?(?=[.,;]|$)")
_FILE = re.compile("|".join(map(re.escape, PARTS)))

_SPOKEN: Mapping[re.Pattern[str], str] = {
    re.compile(r"\b([Aa])n (?:id|key)\b"): r"\1 short name",
    re.compile(r"\b(the|its|another|no) id\b"): r"\1 short name",
    re.compile(r"\b(?:Id|Key)(?=, unique\b)"): "Short name",
    re.compile(r"(?<=, )id(?=:)"): "short name",
    re.compile(r", in kebab-case\b"): ": small letters, digits and hyphens between",
}
"""What files call an id, as people say it."""

_KEYS = {column.field for sheet in SHEETS.values() for column in columns_in(sheet)}
_KEYS |= {column.key for sheet in SHEETS.values() for column in columns_in(sheet)}
_KEY = re.compile(rf"`?\b({'|'.join(sorted(k for k in _KEYS if '_' in k))})\b`?")
"""Names of people are never keys: only known ones are said otherwise."""


def column_name(key: str) -> str:
    """What people call a column or figure.

    Examples
    --------
    >>> [column_name(key) for key in ("base_price", "free_length_m", "price_per_kwh", "id")]
    ['base price', 'free length, m', 'price per kWh', 'short name']
    """
    if key in _HEADS:
        return _HEADS[key]
    for unit, said in _UNITS.items():
        if key.endswith(f"_{unit}"):
            return key[: -len(unit) - 1].replace("_", " ") + said
    return key.replace("_", " ")


def choice(word: object) -> str:
    """What people call a choice.

    Examples
    --------
    >>> choice("equal-principal"), choice("factory-only"), choice(None)
    ('equal principal', 'factory-only', '')
    """
    said = "" if word is None else str(word)
    return said if said in _HYPHENATED else said.replace("-", " ").replace("_", " ")


def in_words(text: str) -> str:
    """What is also told on the command line, as pages say it.

    A sentence that tells what to type there goes, for pages have a place for it; files are called
    by the part of the case that they state, keys as people say them.

    Examples
    --------
    >>> in_words("Did you mean 'base_price'? It stands in machine.toml.")
    "Did you mean 'base price'? It stands in 'Machine'."
    >>> in_words("One hangs on it. `optioneer ask` says whom to ask. 3 stand.")
    'One hangs on it. 3 stand.'
    >>> in_words("4 more months: --json.")
    '4 more months.'
    >>> in_words("Id, unique in the catalogue, in kebab-case.")
    'Short name, unique in the catalogue: small letters, digits and hyphens between.'
    >>> in_words("'A b' is not an id. An id has no blanks.")
    "'A b' is not a short name. A short name has no blanks."
    """
    kept = " ".join(one for one in _ENDS.split(text) if not _COMMAND.search(one))
    bare = _OPTION.sub("", kept)
    called = _FILE.sub(lambda found: f"'{PARTS[found.group()]}'", bare)
    for known, said in _SPOKEN.items():
        called = known.sub(said, called)
    return _KEY.sub(lambda found: column_name(found[1]), called)


def fault_in_words(fault: Fault | Question | OptioneerError) -> str:
    """A fault as people say it: the part of the case instead of the file, no key.

    Examples
    --------
    >>> fault_in_words(Fault("machine.toml, machine, base_price", "-5 is below zero"))
    'Machine, base price: -5 is below zero.'
    """
    file, _, rest = str(fault).partition(", ")
    if file not in PARTS:
        file, _, rest = str(fault).partition(": ")
        return in_words(f"{PARTS[file]}: {rest}" if file in PARTS else str(fault))
    twice = f"{PARTS[file].lower()}, "
    return in_words(f"{PARTS[file]}, {rest.removeprefix(twice)}")
