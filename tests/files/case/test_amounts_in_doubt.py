"""One rule for every amount of money in TOML: asked about where 1.250 may mean 1250."""

import tomllib
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from optioneer.errors import CaseError
from optioneer.files.case.machine_file import CallOut
from optioneer.files.case.read import read_case
from optioneer.files.plain.document import Document, Written
from optioneer.model.case import Case
from optioneer.model.fact import money_keys
from optioneer.model.paying import LeasePlan, LoanPlan, StagedPlan
from optioneer.model.site import Site
from tests.files.folders import edit, starter

FORGOTTEN = [
    ("crew, cost_per_hour", "site.toml", "[crew]\ncost_per_hour = 1.250\n"),
    ("air, price_per_kwh", "site.toml", "[air]\nprice_per_kwh = 1.250\n"),
    (
        "income_tax, other_property",
        "paying.toml",
        '[income_tax]\nrate = 0.2\ndepreciation = "macrs-7"\nother_property = 1.250\n',
    ),
]
"""Amounts that were once taken as 1.25 without a word, while all others were asked about."""


def models(model: type[BaseModel]) -> Iterator[type[BaseModel]]:
    """A model and every one that its fields can hold."""
    yield model
    for field in model.model_fields.values():
        for inside in _inside(field.annotation):
            yield from models(inside)


def _inside(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for part in get_args(annotation):
        yield from _inside(part)


ROOTS: tuple[type[BaseModel], ...] = (Case, Site, StagedPlan, LoanPlan, LeasePlan, CallOut)
FACTS = {fact for root in ROOTS for fact in models(root) if fact is not Case}
AMOUNTS = sorted(
    ((model, key) for model in FACTS for key in money_keys(model)),
    key=lambda pair: (pair[0].__name__, pair[1]),
)


def faults_of(model: type[BaseModel], key: str, written: str) -> list[str]:
    values = tomllib.loads(f"{key} = {written}", parse_float=Written)
    toml = Document("file.toml", values, ())
    toml.fact(model, values, "place")
    return [str(fault) for fault in toml.faults if "can be read as" in fault.what]


@pytest.mark.parametrize(("model", "key"), AMOUNTS)
def test_every_amount_of_every_fact_is_asked_about(model: type[BaseModel], key: str) -> None:
    wanted = f"file.toml, place, {key}: 1.250 can be read as 1250 or as 1.25. Write 1250 or 1.25."
    assert faults_of(model, key, "1.250") == [wanted]
    assert len(faults_of(model, key, "[18.000, 20.500, 30.000]")) == 3


@pytest.mark.parametrize(("model", "key"), AMOUNTS)
def test_the_point_is_never_a_thousands_mark(model: type[BaseModel], key: str) -> None:
    assert faults_of(model, key, "603.647") == []
    assert faults_of(model, key, "1.2500") == []


def test_the_list_of_amounts_is_long_enough_to_mean_something() -> None:
    assert len(AMOUNTS) > 20
    assert {key for _, key in AMOUNTS} >= {"base_price", "charge", "margin", "unit_price", "fee"}


@pytest.mark.parametrize(("place", "file", "text"), FORGOTTEN)
def test_an_amount_once_forgotten_is_asked_about(
    tmp_path: Path, place: str, file: str, text: str
) -> None:
    folder = starter(tmp_path)
    (folder / file).write_text(text, encoding="utf-8")
    with pytest.raises(CaseError, match=f"{file}, {place}: 1.250 can be read as 1250 or as 1.25"):
        read_case(folder)


def test_a_price_with_three_decimals_is_read_as_it_stands(tmp_path: Path) -> None:
    folder = starter(tmp_path)
    edit(folder, "machine.toml", ("margin_per_day = ", "margin_per_day = 603.647 # "))
    assert read_case(folder).machine.margin_per_day == 603.647
