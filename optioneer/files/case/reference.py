"""Every key and column of a case with its meaning, from the sentences of the models."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from optioneer.files.case.machine_file import CallOut
from optioneer.files.case.options_file import COLUMNS, CORNERS
from optioneer.model.catalogue import Option
from optioneer.model.growth import Driver, Growth, Stream, Way
from optioneer.model.machine import Bundle, Dates, Hours, Machine, Package
from optioneer.model.paying import (
    Account,
    IncomeTax,
    LeasePlan,
    LoanPlan,
    PayDays,
    Paying,
    Regular,
    SalesTax,
    StagedPlan,
)

TABLES: Mapping[str, Mapping[str, tuple[type[BaseModel], ...]]] = {
    "machine.toml": {
        "[machine]": (Machine,),
        "[hours]": (Hours,),
        "[dates]": (Dates,),
        "[call_out]": (CallOut,),
        "[[bundle]]": (Bundle,),
        "[[package]]": (Package,),
    },
    "growth.toml": {
        "": (Growth,),
        "[[driver]]": (Driver,),
        "[[stream]]": (Stream,),
        "[[stream.way]]": (Way,),
    },
    "paying.toml": {
        "": (Paying,),
        "[account]": (Account,),
        "[[account.regular]]": (Regular,),
        "[calendar]": (PayDays,),
        "[sales_tax]": (SalesTax,),
        "[income_tax]": (IncomeTax,),
        "[[plan]]": (StagedPlan, LoanPlan, LeasePlan),
    },
}
"""The models of each table; where there are several, the table is one of them."""


@dataclass(frozen=True)
class Term:
    """A key of a TOML file or a column of a table.

    Parameters
    ----------
    file
        The file it stands in.
    table
        Heading of its table; '' at the top of a file and for columns.
    key
        Its name.
    meaning
        A sentence or two.
    required
        Whether it must be given.
    """

    file: str
    table: str
    key: str
    meaning: str
    required: bool


def terms() -> tuple[Term, ...]:
    """Every key and column of a case, in the order of the format."""
    return (*_keys("machine.toml"), *_columns(), *_keys("growth.toml"), *_keys("paying.toml"))


def _keys(file: str) -> Iterator[Term]:
    inner = {table.strip("[]").rpartition(".")[2] for table in TABLES[file]}
    for table, models in TABLES[file].items():
        fields = {
            field.alias or name: field
            for model in reversed(models)
            for name, field in model.model_fields.items()
        }
        for key, field in fields.items():
            if key not in inner:
                yield _term(file, table, key, field)


def _columns() -> Iterator[Term]:
    for column in COLUMNS:
        name, _, corner = column.rpartition("_")
        if corner in CORNERS:
            field = Option.model_fields[name]
            meaning = f"{corner.capitalize()} value. {field.description}"
            yield Term("options.csv", "", column, meaning, required=False)
        else:
            yield _term("options.csv", "", column, Option.model_fields[column])


def _term(file: str, table: str, key: str, field: FieldInfo) -> Term:
    return Term(file, table, key, field.description or "", field.is_required())
