"""The base of every fact: frozen, no unknown names, no NaN or infinity, numbers never guessed."""

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Annotated, Any, Self

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    GetCoreSchemaHandler,
    ValidationError,
    ValidatorFunctionWrapHandler,
    model_validator,
)
from pydantic.fields import FieldInfo
from pydantic_core import CoreSchema, PydanticCustomError, core_schema

LARGEST_AMOUNT = 1e12
"""Amounts at or beyond this are typing errors, in any currency [money]."""

IDENTIFIER = r"^[a-z0-9]+(-[a-z0-9]+)*$"
"""Kebab-case: the form of an option's id, so that lists on a command line need no quotes."""

KEY = r"^[a-z0-9]+([-_][a-z0-9]+)*$"
"""The form of every other id; it may also be written as a bare key of a TOML table."""


def refusal(what: str, allowed: str) -> PydanticCustomError:
    """The error of a check of our own: what was found, and what is allowed."""
    return PydanticCustomError("refusal", "{what}", {"what": what, "allowed": allowed})


def _printable(text: str) -> str:
    if text.isascii() and text.isprintable():  # as most are, and every text of a case is asked
        return text
    for character in text:
        if unicodedata.category(character) in {"Cc", "Cs"} and character not in "\t\r\n":
            raise refusal(
                f"holds the control character U+{ord(character):04X}", "Take it out of the text."
            )
    return unicodedata.normalize("NFC", text)


def _one_line(text: str) -> str:
    if not text.isprintable() and any(character in "\t\r\n" for character in text):
        raise refusal("holds a tab or a line break", "Write it on one line.")
    return text


Id = Annotated[str, Field(pattern=IDENTIFIER, max_length=80)]
Key = Annotated[str, Field(pattern=KEY, max_length=80)]
Name = Annotated[str, Field(max_length=200), AfterValidator(_printable), AfterValidator(_one_line)]
Note = Annotated[str, Field(max_length=5000), AfterValidator(_printable)]
Number = Annotated[float, Field(strict=True)]
Whole = Annotated[int, Field(strict=True)]
Amount = Annotated[float, Field(strict=True, ge=0, lt=LARGEST_AMOUNT)]
Share = Annotated[float, Field(strict=True, ge=0, le=1)]
Rate = Annotated[float, Field(strict=True, ge=0, le=1)]
Quantity = Annotated[float, Field(strict=True, ge=0, lt=1e9)]


MONEY = "[money"
"""How the description of a field says that it holds money."""


def is_money(field: FieldInfo) -> bool:
    """Whether the values of a field are amounts of money, which its description says."""
    return MONEY in (field.description or "")


@cache
def money_keys(model: type[BaseModel]) -> frozenset[str]:
    """The keys of a fact, as files write them, whose values are amounts of money."""
    fields = model.model_fields.items()
    return frozenset(known.alias or name for name, known in fields if is_money(known))


class Fact(BaseModel):
    """An immutable statement about the case."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", allow_inf_nan=False, str_strip_whitespace=True
    )

    @property
    def usual(self) -> Mapping[str, Any]:
        """What fields mean that are left blank, where that is not their default."""
        return {}

    def model_copy(self, *, update: Mapping[str, Any] | None = None, deep: bool = False) -> Self:
        """A copy with some fields changed, checked like any other fact.

        Pydantic's own copy takes new values unseen and keeps cached properties of the old ones.

        Parameters
        ----------
        deep
            Of no effect: facts are immutable, so that copies may share them.

        Raises
        ------
        ValidationError
            A new value is not allowed, or there is no such field.
        """
        del deep
        values = {name: getattr(self, name) for name in type(self).model_fields}
        return type(self).model_validate(values | dict(update or {}))


class Triangular(Fact):
    """A quantity known by its low, likeliest and high value; all equal means certain.

    Multipliers, years and margins: none of them is ever below zero.
    """

    low: Amount
    likely: Amount
    high: Amount

    @model_validator(mode="after")
    def _in_order(self) -> Self:
        if not self.low <= self.likely <= self.high:
            raise refusal(
                f"{self.low:.12g}, {self.likely:.12g}, {self.high:.12g} are not in rising order",
                "Write low, likely, high in rising order; three equal ones mean certain.",
            )
        return self

    @property
    def certain(self) -> bool:
        """Whether low, likely and high are one value."""
        return self.low == self.high

    @property
    def mean(self) -> float:
        """(low + likely + high) / 3, the mean of the triangular distribution."""
        return (self.low + self.likely + self.high) / 3


@dataclass(frozen=True)
class OneOrThree:
    """What a figure may be that is given as one number or as lowest, likeliest, highest.

    Parameters
    ----------
    gt, ge, le
        Bounds of all of them.
    """

    gt: float | None = None
    ge: float | None = None
    le: float | None = None

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        """How pydantic checks it: a single number keeps its own errors."""
        del source, handler
        bounds = {key: value for key, value in vars(self).items() if value is not None}
        one = core_schema.float_schema(strict=True, allow_inf_nan=False, **bounds)
        return core_schema.no_info_wrap_validator_function(
            self._one_or_three,
            one,
            serialization=core_schema.plain_serializer_function_ser_schema(_plain_value),
        )

    def _one_or_three(self, found: Any, number: ValidatorFunctionWrapHandler) -> Any:
        if not isinstance(found, Triangular | Mapping | list | tuple):
            return number(found)
        three = _three(found)
        for corner in (three.low, three.likely, three.high):
            number(corner)
        return three


Uncertain = Annotated[float | Triangular, OneOrThree(gt=0, le=100)]
"""Years that nobody may know: one figure, or lowest, likeliest, highest [years]."""

UncertainShare = Annotated[float | Triangular, OneOrThree(ge=0, le=1)]
"""A chance that nobody may know: one figure, or lowest, likeliest, highest."""


def _three(found: Any) -> Triangular:
    """Lowest, likeliest, highest; what is no such range is refused in one sentence."""
    if isinstance(found, list | tuple):
        names = ("low", "likely", "high")
        if len(found) != len(names):
            raise refusal(f"holds {len(found)} figures", ONE_OR_THREE)
        found = dict(zip(names, found, strict=True))
    try:
        return Triangular.model_validate(found)
    except ValidationError as error:
        told = error.errors()[0].get("ctx", {})
        if "what" in told:
            raise refusal(told["what"], told["allowed"]) from error
        raise refusal("is no range of figures", ONE_OR_THREE) from error


ONE_OR_THREE = "Write one figure, or three: lowest, likeliest, highest."


def _plain_value(value: float | Triangular) -> Any:
    return value.model_dump() if isinstance(value, Triangular) else value


def triangular(value: float | Triangular) -> Triangular:
    """A figure that nobody may know as lowest, likeliest, highest; one figure is certain."""
    if isinstance(value, Triangular):
        return value
    return Triangular(low=value, likely=value, high=value)
