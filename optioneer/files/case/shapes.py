"""What the TOML files of a case are made of, for writing them."""

from collections.abc import Mapping

from optioneer.files.plain.toml_values import Shape, TomlTable, shape, toml_value
from optioneer.forms.schema import GROWTH, MACHINE, PAYING, SITE, TABLES, FormTable, defaults


def _shape(table: FormTable) -> Shape:
    """The shape of a table; where rows differ in kind, the kind must be told."""
    if table.pairs:
        return Shape()
    found = [shape(model).absent for model in table.models]
    absent = {key: value for one in found for key, value in one.items()}
    if len(found) > 1:
        absent.pop("kind")
    return Shape(absent, _inside(table.inner))


def _inside(found: tuple[FormTable, ...]) -> Mapping[str, Shape]:
    return {one.path[-1]: _shape(one) for one in found if not one.inline}


def _absent(file: str) -> TomlTable:
    """What a key at the top of a file means that is not there."""
    return {key: toml_value(value) for key, value in defaults(file).items()}


def shape_of(file: str) -> Shape:
    """The shape of a file."""
    top = tuple(one for one in TABLES if one.file == file and len(one.path) == 1)
    return Shape(_absent(file), _inside(top))


SHAPES: Mapping[str, Shape] = {file: shape_of(file) for file in (MACHINE, GROWTH, PAYING, SITE)}
"""The shapes of the files."""
