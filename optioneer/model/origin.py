"""Where a figure is from: who said it, when, and what was said."""

from typing import Literal

from pydantic import Field

from optioneer.model.fact import Fact, Name, Note
from optioneer.model.machine import Day

Whence = Literal["quoted", "told", "usual", "computed", "example"]
"""Where a figure may be from.

``usual`` is what the trade reckons with where nothing is known, ``example`` was invented to show
what a case looks like.
"""


class Origin(Fact):
    """One line of the list of sources: what was said of a figure, by whom, when."""

    key: Name = Field(
        min_length=1,
        description="Which figure: 'option/probe/price', 'stream/bar-parts/margin', "
        "'machine/base_price', 'growth/discount_rate' ...",
    )
    source: Whence = Field(
        description="A dealer's quote, told by a person, usual in the trade, computed from others, "
        "or an invented example."
    )
    value: Name = Field(
        default="",
        description="What was said, as the case writes it; a figure that is another now has been "
        "changed since.",
    )
    who: Name = Field(default="", description="Who said it: owner, customer, dealer, a name.")
    date: Day | None = Field(default=None, description="When it was said, or the day of the quote.")
    note: Note = Field(default="", description="Free text.")
