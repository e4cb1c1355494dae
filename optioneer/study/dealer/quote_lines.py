"""The answer to: which option does each line of a dealer's list mean, at what price."""

from typing import Literal

from pydantic import Field

from optioneer.study.answer import Answer

How = Literal["mapping", "id", "name", "likeness", "price"]
"""By what a line was given to an option; the last two are guesses that only a mapping confirms."""

SURE: tuple[How, ...] = ("mapping", "id", "name")


class PlacedLine(Answer):
    """A line that means an option, or the machine itself."""

    row: int = Field(description="As a spreadsheet counts it.")
    text: str
    option: str = Field(description="Id of the option, or `base_price`.")
    how: How
    before: float = Field(description="Price in the case [money].")
    after: float | None = Field(description="Price of the quote [money]; none: included.")


class OtherLine(Answer):
    """A line that means no option of the case, or is left out."""

    row: int
    text: str
    price: str = Field(description="As written.")
    why: str


class Quoted(Answer):
    """What was made of a dealer's list; nothing of it is in the case before it is accepted."""

    file: str
    currency: str
    notes: tuple[str, ...] = Field(description="How the file was read.")
    name_column: str
    price_column: str
    code_column: str
    decimal: str = Field(description="Decimal mark that the prices agree on; '' where none shows.")
    placed: tuple[PlacedLine, ...] = Field(description="Lines that mean an option.")
    guessed: tuple[PlacedLine, ...] = Field(description="Lines that may mean one; not taken.")
    unplaced: tuple[OtherLine, ...] = Field(description="Lines that mean nothing known.")
    left_out: tuple[OtherLine, ...] = Field(description="Headings, sums, taxes, lines to skip.")
    not_quoted: tuple[str, ...] = Field(description="Options of the case that no line means.")
    questions: tuple[str, ...] = Field(description="What must be answered before it is taken in.")

    @property
    def changes(self) -> dict[str, float]:
        """New prices by option, those that differ."""
        found = {one.option: one.after for one in self.placed if one.after is not None}
        before = {one.option: one.before for one in self.placed}
        return {option: price for option, price in found.items() if price != before[option]}
