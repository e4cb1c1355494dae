"""The base of every answer, and the three verdicts."""

from typing import Literal

from pydantic import BaseModel, ConfigDict

Verdict = Literal["order now", "leave for retrofit", "leave off"]


class Answer(BaseModel):
    """An immutable result."""

    model_config = ConfigDict(frozen=True, extra="forbid")
