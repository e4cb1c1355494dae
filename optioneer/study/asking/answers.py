"""What is answered to the question what to ask next."""

from pydantic import Field

from optioneer.study.answer import Answer
from optioneer.study.unknowns.answers import WorthOfFigure


class NextQuestion(WorthOfFigure):
    """A figure that is worth asking for."""

    who: str = Field(description="Who can answer: owner, customer, dealer or bank.")
    form: str = Field(description="What an answer looks like.")


class Questions(Answer):
    """What is worth asking before the order, the most first; the worths do not add up."""

    case: str
    currency: str
    futures: int
    seed: int
    price: float = Field(description="Price of the advised package [money].")
    least: float = Field(description="What a question must be worth to be asked [money].")
    everything: float = Field(
        description="What it is worth to know all unsure figures before the order [money]."
    )
    questions: tuple[NextQuestion, ...] = Field(
        description="First those that are worth `least` alone; then, where it is worth as much to "
        "know all of them, those that add so much to the others."
    )
    figures: int = Field(description="Figures that were looked at.")
    below: int = Field(description="Of these, not worth a question.")
    together: tuple[tuple[str, ...], ...] = Field(
        description="Options that stand or fall together: one choice, told once."
    )
    beyond: tuple[str, ...] = Field(
        description="Streams that would likely come only once the machine is gone, or after the "
        "years that are looked ahead."
    )
