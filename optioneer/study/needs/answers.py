"""Answers to: what does the machine ask of the place? Their field names are those of the JSON."""

from typing import Literal

from pydantic import Field

from optioneer.study.answer import Answer

Status = Literal["ok", "tight", "short", "missing"]


class SiteFigure(Answer):
    """One result and where it comes from."""

    id: str
    name: str
    value: float | None = Field(description="None: a figure it needs is missing.")
    unit: str
    formula: str
    source: str
    inputs: dict[str, float | str | None] = Field(description="What went into it; none: missing.")
    caution: str


class Need(Answer):
    """One thing the machine needs of the site, against what is there."""

    id: str
    name: str
    required: float | None = Field(
        description="What is needed; none: missing, or in JSON endless where it is short."
    )
    available: float | None = Field(description="What is there or allowed; none: missing.")
    short: float | None = Field(description="What is lacking, 0 when nothing is; none: unknown.")
    unit: str
    status: Status = Field(description="In words, never by colour alone.")
    margin: float | None = Field(description="`available` less `required`; none: unknown.")
    formula: str
    source: str
    inputs: dict[str, float | str | None] = Field(description="What went into it; none: missing.")
    caution: str
