"""One table of tables: every list of facts of the models has its line, every line its face."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from pydantic import BaseModel

from optioneer.files.case.demos import demo_folders
from optioneer.files.case.read import read_case
from optioneer.files.case.shapes import SHAPES
from optioneer.files.grid.sheet_list import GROUPS, SHEETS
from optioneer.forms.fields import facts_held, lists_facts
from optioneer.forms.schema import GROWTH, PAYING, SITE, TABLES, FormTable
from optioneer.forms.sheets import FORMS, ORDER
from optioneer.model.growth import Growth
from optioneer.model.paying import Paying
from optioneer.model.site import Site

ROOTS: dict[str, type[BaseModel]] = {GROWTH: Growth, PAYING: Paying, SITE: Site}
KNOWN = {(one.file, one.path) for one in TABLES}


def lists(model: type[BaseModel], path: tuple[str, ...] = ()) -> Iterator[tuple[str, ...]]:
    """The path of every list of facts below a model."""
    for name, field in model.model_fields.items():
        here = (*path, field.alias or name)
        if lists_facts(field.annotation):
            yield here
        for inside in facts_held(field.annotation):
            yield from lists(inside, here)


@pytest.mark.parametrize("file", ROOTS)
def test_every_list_of_facts_has_a_table(file: str) -> None:
    assert {(file, path) for path in lists(ROOTS[file])} <= KNOWN


@pytest.mark.parametrize("file", ROOTS)
def test_every_fact_at_the_top_of_a_file_has_a_table(file: str) -> None:
    fields = ROOTS[file].model_fields.items()
    facts = {
        (file, (field.alias or name,)) for name, field in fields if facts_held(field.annotation)
    }
    assert facts <= KNOWN


@pytest.mark.parametrize("table", TABLES, ids=lambda one: f"{one.file}-{'.'.join(one.path)}")
def test_every_table_has_models_columns_and_a_sheet(table: FormTable) -> None:
    assert table.models
    assert table.columns
    assert table.sheet in ORDER
    assert bool(table.word) == bool(table.title)


def test_the_grid_shows_every_table_with_a_word_once() -> None:
    words = [table.word for tables in GROUPS.values() for table in tables]
    assert sorted(words) == sorted(SHEETS)


def test_a_sheet_belongs_to_one_list_or_to_the_form_of_one_file() -> None:
    names = [table.sheet for table in TABLES if table.many] + [form.name for form in FORMS]
    assert sorted(names) == sorted(ORDER)


@pytest.mark.parametrize("folder", demo_folders(), ids=lambda folder: folder.name)
def test_the_tables_hold_all_facts_of_a_case(folder: Path) -> None:
    case = read_case(folder)
    found = {(one.file, one.path): one.facts(case) for one in TABLES}
    assert len(found["options.csv", ("option",)]) == len(case.catalogue.options)
    assert [fact for _, fact in found[GROWTH, ("stream",)]] == list(case.growth.stream)
    ways = [(stream.id, way) for stream in case.growth.stream for way in stream.way]
    assert list(found[GROWTH, ("stream", "way")]) == ways
    charges = [
        tuple(fact.model_dump().values()) for _, fact in found["machine.toml", ("call_out",)]
    ]
    assert charges == list(case.call_outs.items())


def test_what_stands_on_one_line_is_no_table_of_its_own_in_a_file() -> None:
    assert "stages" not in SHAPES[PAYING].tables["plan"].tables
    assert "way" in SHAPES[GROWTH].tables["stream"].tables
    assert "kind" not in SHAPES[PAYING].tables["plan"].absent
