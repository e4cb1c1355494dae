"""The base of every fact: frozen, no unknown names, no NaN or infinity."""

from typing import Annotated, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

LARGEST_AMOUNT = 1e12
"""Amounts at or beyond this are typing errors, in any currency [money]."""

IDENTIFIER = r"^[a-z0-9]+(-[a-z0-9]+)*$"
"""Kebab-case: the form of every id, so that lists on a command line need no quotes."""

Id = Annotated[str, Field(pattern=IDENTIFIER, max_length=80)]
Name = Annotated[str, Field(max_length=200)]
Note = Annotated[str, Field(max_length=5000)]
Amount = Annotated[float, Field(ge=0, lt=LARGEST_AMOUNT)]
Share = Annotated[float, Field(ge=0, le=1)]
Quantity = Annotated[float, Field(ge=0, lt=1e9)]


class Fact(BaseModel):
    """An immutable statement about the case."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, str_strip_whitespace=True
    )


class Triangular(Fact):
    """A quantity known by its low, likeliest and high value; all equal means certain."""

    low: float
    likely: float
    high: float

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.likely <= self.high:
            msg = f"{self.low:g}, {self.likely:g}, {self.high:g} are not low <= likely <= high"
            raise ValueError(msg)
        return self

    @property
    def certain(self) -> bool:
        """Whether low, likely and high are one value."""
        return self.low == self.high

    @property
    def mean(self) -> float:
        """(low + likely + high) / 3, the mean of the triangular distribution."""
        return (self.low + self.likely + self.high) / 3
