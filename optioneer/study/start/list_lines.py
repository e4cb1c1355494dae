"""A dealer's list on its way to a case: what each line is, and what must be asked."""

from collections.abc import Mapping
from typing import Literal

from pydantic import Field

from optioneer.model.kinds.kind import NOT_PLACED
from optioneer.study.answer import Answer

Role = Literal["machine", "option", "charge", "left out"]
"""What a line is: the machine, an option, a charge that comes with it, or nothing of it."""


class ListLine(Answer):
    """A line of the list."""

    row: int = Field(description="As a spreadsheet counts it.")
    text: str
    written: str = Field(default="", description="Its price as written.")
    role: Role
    price: float | None = Field(default=None, description="[money]; none: included, or not known.")
    included: bool = Field(default=False, description="Whether the machine comes with it.")
    kind: str = Field(default="", description="Id of its kind; '' while it is not placed.")
    candidates: tuple[str, ...] = Field(default=(), description="Kinds that its words name.")
    asks: str = Field(default="", description="What must be asked about its price; '' if clear.")
    why: str = Field(default="", description="Why it is left out, or what is odd about it.")

    @property
    def placed(self) -> bool:
        """Whether it is clear what it is."""
        return self.role in {"machine", "left out"} or bool(self.kind)


class Listing(Answer):
    """What was made of a list."""

    file: str
    notes: tuple[str, ...] = Field(description="How the file was read.")
    currency: str = Field(description="ISO code that the prices show, '' where they show none.")
    machine: str = Field(description="Kind of the machine, '' where nothing tells.")
    lines: tuple[ListLine, ...]

    @property
    def open(self) -> tuple[ListLine, ...]:
        """Lines that are not placed yet, or whose price is in doubt."""
        return tuple(line for line in self.lines if not line.placed or line.asks)

    def of(self, role: Role) -> tuple[ListLine, ...]:
        """The lines of one role."""
        return tuple(line for line in self.lines if line.role == role)

    def marked(self) -> "Listing":
        """The same with what is open marked as to be asked, so that a case can be made of it.

        A line that is not placed becomes an option of which nobody has said what it is. One whose
        price is in doubt is left out, for a wrong price would decide.
        """
        return self.settled({line.row: _with_mark(line) for line in self.open})

    def settled(self, answers: Mapping[int, ListLine]) -> "Listing":
        """The same with some lines as a person has settled them, by row."""
        lines = tuple(answers.get(line.row, line) for line in self.lines)
        return self.model_copy(update={"lines": lines})


def _with_mark(line: ListLine) -> ListLine:
    if line.asks and line.role != "machine":
        why = f"to be asked: {line.asks}"
        return line.model_copy(update={"role": "left out", "asks": "", "why": why})
    kind = line.kind or NOT_PLACED
    names = ", ".join(line.candidates)
    why = f"To be asked: what it is{f' ({names}?)' if names else ''}."
    return line.model_copy(update={"kind": kind, "asks": "", "why": why})
