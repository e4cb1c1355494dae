"""What is answered to the question what to ask next."""

from collections.abc import Iterable
from typing import Literal

from pydantic import Field

from optioneer.study.advice.answers import OptionAnswer
from optioneer.study.answer import Answer, Verdict
from optioneer.study.unknowns.answers import WorthOfFigure


class VerdictTurn(Answer):
    """Where along a figure the verdict on an option turns."""

    option: str
    verdict: Verdict = Field(description="As the case is.")
    at: float = Field(description="The value nearest to what the case says.")
    side: Literal["below", "above"] = Field(
        description="On which side of `at` the other choice is the better one."
    )


class NextQuestion(WorthOfFigure):
    """A figure that is worth asking for."""

    who: str = Field(description="Who can answer: owner, customer, dealer or bank.")
    form: str = Field(description="What an answer looks like.")
    turning: tuple[VerdictTurn, ...] = Field(
        default=(), description="Where verdicts turn in its range."
    )


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
    worst_hundredth: float = Field(
        default=0.0,
        description="What ordering now would cost beyond the best order in the worst hundredth "
        "of all that these figures may be, on average there [money].",
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


def one_choices(options: Iterable[OptionAnswer]) -> tuple[tuple[str, ...], ...]:
    """Options in groups whose other choice is the same one: it costs the same in every future.

    They stand or fall together; an option without such others is a group of its own. Where nothing
    is uncertain equal sums prove nothing.
    """
    groups: dict[object, list[str]] = {}
    for one in options:
        error = one.otherwise_se or 0.0
        same = (round(one.otherwise or 0.0, 4), round(error, 6))
        groups.setdefault(same if error > 0.0 else one.option, []).append(one.option)
    return tuple(map(tuple, groups.values()))
