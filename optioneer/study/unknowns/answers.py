"""What is answered to the question what a choice hangs on."""

from typing import Literal

from pydantic import Field

from optioneer.study.answer import Answer
from optioneer.study.worth.figures import What


class FigureRange(Answer):
    """A figure and its range."""

    what: What
    name: str = Field(description="Id of the driver, stream or option; empty for the others.")
    here: float = Field(
        description="As in the case: of three figures the likeliest; of a life or stay that is "
        "not told the horizon."
    )
    low: float = Field(description="Lowest that it may be.")
    high: float = Field(description="Highest that it may be.")


class HangsOn(FigureRange):
    """A figure that turns a verdict somewhere in its range."""

    turns_at: float = Field(description="The value nearest to `here` at which the verdict turns.")
    turns: Literal["below", "above"] = Field(
        description="On which side of `turns_at` the other choice is the better one."
    )
    worth: float = Field(
        description="What choosing otherwise where that is better would save, averaged over the "
        "range: what it is worth to know the figure for this option alone [money]."
    )


class WorthOfFigure(FigureRange):
    """What it is worth to know a figure before the order."""

    why: str = Field(description="Why it may be that far off.")
    worth: float = Field(
        description="NPC of the best package on what is believed less the mean NPC when the "
        "package is ordered knowing the figure (expected value of partial perfect information), "
        "all packages compared [money]."
    )
    adds: float = Field(
        description="What knowing it would add if all other figures were known already: several "
        "together may turn what none of them turns alone [money]."
    )
    turns: tuple[str, ...] = Field(description="Options whose verdict it turns within its range.")
