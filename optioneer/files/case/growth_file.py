"""``growth.toml``: horizon, discounting, drivers and work streams."""

from collections.abc import Iterator, Mapping
from typing import Any

from optioneer.files.case.part import CasePart
from optioneer.files.plain.document import Document
from optioneer.model.growth import Driver, Growth, Stream, Way

KEYS = tuple(Growth.model_fields)

_NEVER = {"low": 0.0, "likely": 0.0, "high": 0.0}


def growth_part(toml: Document) -> CasePart:
    """The growth scenario, from values already read."""
    lists = {"driver": tuple(toml.facts("driver", Driver)), "stream": tuple(_streams(toml))}
    raw = dict(toml.values) | lists
    top = {key: value for key, value in raw.items() if key in Growth.model_fields}
    growth = toml.fact(Growth, top, "", horizon_years=1.0, discount_rate=0.0)
    return CasePart({} if growth is None else {"growth": growth}, tuple(toml.faults))


def _streams(toml: Document) -> Iterator[Stream]:
    for place, table in toml.tables("stream"):
        ranges = {key: _range(table[key]) for key in ("years", "margin") if key in table}
        ways = {"way": tuple(_ways(toml, table, place))} if "way" in table else {}
        raw = {**table, **ranges, **ways}
        stream = toml.fact(Stream, raw, place, chance=1.0, years=_NEVER, margin=_NEVER)
        if stream is not None:
            yield stream


def _range(value: Any) -> Any:
    """Low, likely and high from a list of three; anything else is left for the model to refuse."""
    if isinstance(value, list) and len(value) == len(_NEVER):
        return dict(zip(_NEVER, value, strict=True))
    return value if not isinstance(value, Mapping) else list(value)


def _ways(toml: Document, stream: Mapping[str, Any], place: str) -> Iterator[Way]:
    for number, table in enumerate(toml.listed(stream, "way", place, "stream.way"), 1):
        way = toml.fact(Way, table, f"{place}, way {number}", options=())
        if way is not None:
            yield way
