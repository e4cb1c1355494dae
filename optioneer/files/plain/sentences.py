"""The errors of the models, said in the words of the files."""

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from optioneer.errors import Fault, did_you_mean
from optioneer.files.plain.numerals import excerpt, number

Where = Callable[[tuple[int | str, ...]], str]
"""From a key path inside an entry to the place in the file that a person looks up."""

Saying = tuple[str, str]
"""What is wrong, and what is allowed."""

_PRICE = "Prices are 0 or more; enter a discount as a bundle."
_SHARE = "A share lies between 0 and 1: 0.25 for 25 %."
_BELOW_ZERO: Mapping[str, str] = {
    "price": _PRICE,
    "base_price": _PRICE,
    "discount": "Write what ordering the bundle saves as 0 or more.",
    "delete_credit": "Write the credit as 0 or more; it is subtracted.",
}
_FRACTIONS: Mapping[str, str] = {
    "chance": "A chance lies between 0 and 1: 0.6 for 60 %.",
    "share": _SHARE,
    "fallback": _SHARE,
    "resale_share": _SHARE,
    "discount_rate": "Write the rate as a fraction a year: 0.09 for 9 %.",
    "retrofit_inflation": "Write the rate as a fraction a year: 0.03 for 3 %.",
    "growth": "Write the growth as a fraction a year: 0.02 for 2 %.",
}
_LISTS = ("requires", "excludes")


def faults_of(error: ValidationError, model: type[BaseModel], where: Where) -> list[Fault]:
    """The faults behind a model's errors, one each.

    Parameters
    ----------
    where
        Names the place of a key path.
    """
    return [_fault(details, model, where) for details in error.errors(include_url=False)]


def _fault(details: ErrorDetails, model: type[BaseModel], where: Where) -> Fault:
    path = details["loc"]
    key = str(path[0]) if path else ""
    field = model.model_fields.get(key)
    if details["type"] == "extra_forbidden":
        known = did_you_mean(key, model.model_fields)
        return Fault(where(()), f"'{excerpt(key)}' is not a known key", known)
    what, allowed = _saying(details, key, field)
    return Fault(where(path), what, allowed)


def _saying(details: ErrorDetails, key: str, field: FieldInfo | None) -> Saying:
    kind, found = details["type"], details["input"]
    if kind == "missing":
        return "is missing", _as_request((field.description if field else None) or "")
    if kind == "refusal":
        context = details.get("ctx", {})
        quoted = f"'{excerpt(found)}' " if isinstance(found, str) else ""
        return f"{quoted}{context['what']}", str(context["allowed"])
    if kind in _BOUNDS:
        return _out_of_bounds(details, key)
    if kind == "literal_error":
        words = _words_of(field.annotation) if field else []
        return f"{quoted_value(found)} is not known here", did_you_mean(str(found), words)
    if kind in ("string_pattern_mismatch", "string_too_long"):
        return _of_the_wrong_form(kind, found, key)
    otherwise = ("is not allowed here", f"{details['msg']}.")  # kinds no model of ours raises yet
    what, allowed = _KINDS.get(kind, otherwise)
    return _misread_number(kind, found) or (f"{quoted_value(found)} {what}", allowed)


def _words_of(kind: object) -> list[str]:
    """The words of a `Literal`, also where it stands inside a list or beside other kinds."""
    if get_origin(kind) is Literal:
        return [str(word) for word in get_args(kind)]
    return [word for part in get_args(kind) for word in _words_of(part)]


def _misread_number(kind: str, found: Any) -> Saying | None:
    """What is wrong with a number in quotes where more can be told: separators, a percent sign."""
    if kind not in _NUMBERS or not isinstance(found, str):
        return None
    wrong = number(found, "", money=True)
    if not isinstance(wrong, Fault) or wrong.what.endswith("is not a number"):
        return None
    return wrong.what, wrong.allowed


def _as_request(meaning: str) -> str:
    """A field's sentence as what is asked for."""
    first = meaning[:1] if meaning[1:2].isupper() else meaning[:1].lower()
    return f"Wanted: {first}{meaning[1:]}" if meaning else ""


_BOUNDS: Mapping[str, tuple[str, str]] = {
    "greater_than_equal": ("is below {}", "Write {} or more."),
    "greater_than": ("is not above {}", "Write more than {}."),
    "less_than_equal": ("is above {}", "Write {} or less."),
    "less_than": ("is not below {}", "Write less than {}."),
}


def _out_of_bounds(details: ErrorDetails, key: str) -> Saying:
    (limit,) = details.get("ctx", {}).values()
    what, allowed = _BOUNDS[details["type"]]
    if isinstance(details["input"], date):
        allowed = allowed.replace("more", "later").replace("less", "earlier")
    bound = "zero" if limit == 0 else _plain(limit)
    special = _BELOW_ZERO.get(key) if limit == 0 else None
    told = special or _FRACTIONS.get(key) or allowed.format(_plain(limit))
    return f"{quoted_value(details['input'])} {what.format(bound)}", told


def _plain(limit: object) -> str:
    return f"{limit:,.15g}" if isinstance(limit, int | float) else str(limit)


_KINDS: Mapping[str, Saying] = {
    "float_type": ("is not a number", "Write a number without quotes: 1234.50."),
    "finite_number": ("is not a finite number", "Write a number: 1234.50."),
    "int_type": ("is not a whole number", "Write a whole number without quotes: 4."),
    "int_parsing_size": ("is too large", "Write a smaller whole number."),
    "string_type": ("is not text", 'Write text in quotes: "text".'),
    "string_unicode": ("is not text", "Write it in letters that UTF-8 knows."),
    "date_type": ("is not a date", "Write a date without quotes and without a time: 2027-02-01."),
    "tuple_type": ("is not a list", 'Write a list in square brackets: ["a", "b"].'),
    "dict_type": ("is not a table", "Write a table in braces: { automation = 0.6 }."),
    "mapping_type": ("is not a table", "Write a table in braces: { automation = 0.6 }."),
    "model_type": ("is not low, likely, high", "Write three numbers: [1.0, 2.0, 5.0]."),
    "bool_type": ("is not yes or no", "Write yes or no."),
    "too_short": ("names too few", "Name at least two."),
    "too_long": ("names too many", "Name fewer."),
}


_NUMBERS = ("float_type", "int_type")


def _of_the_wrong_form(kind: str, found: str, key: str) -> Saying:
    if kind == "string_too_long":
        return f"is a text of {len(found):,} characters", "Write a shorter one."
    return _not_an_id(found, key)


def _not_an_id(found: str, key: str) -> Saying:
    if key == "currency":
        allowed = "Write an ISO 4217 code in capitals, such as EUR."
        return f"'{excerpt(found)}' is not a currency code", allowed
    rule = "An id is lower-case letters and digits joined by single hyphens"
    separators = " Lists are separated by ';'." if key in _LISTS else ""
    return f"'{excerpt(found)}' is not an id", f"{rule}: '{id_like(found)}'.{separators}"


def id_like(found: str) -> str:
    """The id that a text would be."""
    words = "".join(c if c.isascii() and c.isalnum() else " " for c in found.lower()).split()
    return "-".join(words)[:80].rstrip("-") or "work-probe"


def quoted_value(value: Any) -> str:
    """A value from a file as a message names it."""
    if isinstance(value, str):
        return f"'{excerpt(value)}'"
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return excerpt(f"{value:.15g}" if isinstance(value, float) else _digits(value))
    if isinstance(value, date):
        return value.isoformat()
    if isinstance(value, list):
        tables = any(isinstance(item, Mapping) for item in value)
        return "a list of tables" if tables else excerpt(str(value))
    return "a table"


def _digits(value: int) -> str:
    return str(value) if abs(value) < 10**60 else f"{float(str(value)[:17]):g}..."
