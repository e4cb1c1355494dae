"""Figures of US tax law that change by year, from one dated table."""

import tomllib
from collections.abc import Mapping
from datetime import date
from functools import cache
from importlib.resources import files
from typing import Annotated

from pydantic import Field

from optioneer.model.fact import Amount, Fact, Name, Share


class Bonus(Fact):
    """A share that may be deducted at once in the first year."""

    rate: Share = Field(description="Of what section 179 leaves of the basis.")
    acquired_after: date | None = Field(
        default=None, description="Only for property acquired after this day."
    )


class TaxYear(Fact):
    """One tax year's figures."""

    year: int = Field(description="Calendar year in which the tax year begins.")
    limit: Amount = Field(description="Most that may be expensed under section 179 [money].")
    threshold: Amount = Field(description="Property above which the limit shrinks [money].")
    bonus: Annotated[tuple[Bonus, ...], Field(min_length=1)]
    source: Name = Field(description="Where the figures stand.")

    def bonus_rate(self, acquired: date) -> float:
        """The rate for property acquired on a day: of the latest rule that holds."""
        held = [b for b in self.bonus if b.acquired_after is None or acquired > b.acquired_after]
        return held[-1].rate


class TaxYears(Fact):
    """The table."""

    checked: date = Field(description="When the table was last checked.")
    year: tuple[TaxYear, ...]


@cache
def tax_years() -> Mapping[int, TaxYear]:
    """The figures by year."""
    text = files("optioneer.model").joinpath("tax_years.toml").read_text(encoding="utf-8")
    return {entry.year: entry for entry in TaxYears.model_validate(tomllib.loads(text)).year}
