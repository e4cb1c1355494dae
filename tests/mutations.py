"""Cases changed at random: figures, words, dates and rows as somebody might have got them wrong."""

import csv
import datetime as dt
import io
import random
from collections.abc import Callable, Iterator, Mapping
from typing import Any

import tomlkit

FACTORS = (0.0, -1.0, 0.001, 0.01, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 100.0, 1000.0, 1e6)
FIGURES = (
    0, 0.0, 1, 1.0, -1, 0.5, 2, 3, 7, 12, 30, 48, 60, 100, 280, 2027, 2027.0, 12980.0, 1e-9, 1e-3,
    0.01, 0.58, 0.9, -0.4, 0.99, 1.01, 480, 1000000, 1e8, 999999999999.0, 1e12, 1e300,
)  # fmt: skip
DATES = (
    "1990-01-01", "1899-12-31", "2020-02-29", "2026-12-24", "2027-09-06", "2050-01-01",
    "2100-12-31", "2101-01-01",
)  # fmt: skip
WORDS = (
    "", "none", "base", "all", "advised", "default", "XXX", "JPY", "KWD", "order", "delivery",
    "accepted", "accepted + 0 months", "order + 0 days", "order - 400 days",
    "first_chips + 60 months", "accepted + 9999 months", "each payment",
    "loan", "lease", "level", "US", "yes", "no",
    "factory-only", "retrofittable", "macrs-7", "straight-line-50", "declining-1", "bonus",
    "\U0001f6e0" * 3,
)  # fmt: skip

Rng = random.Random


def mutated(texts: Mapping[str, str], rng: Rng) -> dict[str, str]:
    """The texts of a case with one to three changes, each of which can be written down.

    Parameters
    ----------
    texts
        Text of each file by name.
    rng
        Where chance comes from.
    """
    found = dict(texts)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        file = rng.choice(sorted(found))
        change = _csv if file.endswith(".csv") else _toml
        found[file] = change(found[file], rng)
    return found


def _toml(text: str, rng: Rng) -> str:
    document = tomlkit.parse(text).unwrap()
    places = list(_places(document))
    if not places:
        return text
    holder, key = rng.choice(places)
    rng.choice((_changed, _changed, _changed, _changed, _changed, _taken_out, _twice))(
        holder, key, rng
    )
    return tomlkit.dumps(document)


def _places(node: Any) -> Iterator[tuple[Any, Any]]:
    """Every value and table below a node, as what holds it and the key it stands under."""
    pairs = node.items() if isinstance(node, dict) else enumerate(node)
    for key, value in pairs:
        yield node, key
        if isinstance(value, dict | list):
            yield from _places(value)


def _changed(holder: Any, key: Any, rng: Rng) -> None:
    value = holder[key]
    if isinstance(value, dict):
        inner = list(_places(value))
        if inner:
            _changed(*rng.choice(inner), rng)
    elif isinstance(value, list) and value:
        _changed(value, rng.randrange(len(value)), rng)
    else:
        holder[key] = _other(value, rng)


def _taken_out(holder: Any, key: Any, rng: Rng) -> None:
    del rng
    del holder[key]


def _twice(holder: Any, key: Any, rng: Rng) -> None:
    if isinstance(holder, list):
        holder.append(holder[key])
    else:
        _changed(holder, key, rng)


def _other(value: Any, rng: Rng) -> Any:
    """Another value of the same kind, now and then of another one."""
    if rng.random() < 0.05:
        return rng.choice((*FIGURES, *WORDS, True))
    if isinstance(value, bool):
        return not value
    if isinstance(value, int | float):
        return _figure(value, rng)
    if isinstance(value, dt.date):
        return dt.date.fromisoformat(rng.choice(DATES))
    return rng.choice(WORDS)


def _figure(value: float, rng: Rng) -> float:
    if rng.random() < 0.5:
        return rng.choice(FIGURES)
    other = value * rng.choice(FACTORS)
    return round(other) if isinstance(value, int) else other


def _csv(text: str, rng: Rng) -> str:
    head, *rows = csv.reader(io.StringIO(text))
    if not rows:
        return text
    row, column = rng.choice(rows), rng.randrange(len(head))
    row[column] = _cell(row[column], rows, head, rng)
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows([head, *rows])
    return out.getvalue()


def _cell(cell: str, rows: list[list[str]], head: list[str], rng: Rng) -> str:
    try:
        value = float(cell)
    except ValueError:
        ids = [row[head.index("option")] for row in rows if "option" in head]
        choose: Callable[[], str] = rng.choice(
            (lambda: rng.choice(WORDS), lambda: rng.choice(ids or WORDS), lambda: "",
             lambda: f"{rng.choice(FIGURES):g}")
        )  # fmt: skip
        return choose()
    return f"{_figure(value, rng):g}"
