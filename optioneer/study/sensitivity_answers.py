"""Answers to the question what moves the advice."""

from pydantic import Field

from optioneer.study.answers import Answer, Verdict, What


class Varied(Answer):
    """A figure that is varied, and its range."""

    what: What
    name: str = Field(description="Id of the driver, stream or option; empty for the others.")
    here: float = Field(description="As in the case; of a triangular figure the likeliest.")
    low: float
    high: float


class Stand(Answer):
    """One option as advised, on the futures that the ranges are looked at with."""

    option: str
    verdict: Verdict = Field(description="As in the advice, on all futures of the case.")
    otherwise: float | None = Field(
        description="NPC of the best package with the other choice less NPC of the best package "
        "with the choice advised [money]; none when there is no other choice."
    )


class OtherwiseEnds(Answer):
    """What choosing otherwise costs at both ends of a range.

    Below 0 the other choice is the better one: there the verdict turns between ordering now and
    not ordering.
    """

    option: str
    at_low: float
    at_high: float


class Ends(Varied):
    """The advice at both ends of the range of one figure, all others as in the case."""

    npc_low: float = Field(description="NPC of the advised package at `low` [money].")
    npc_high: float = Field(description="NPC of the advised package at `high` [money].")
    moves: float = Field(
        description="Largest less least of the NPC at `low`, here and at `high` [money]."
    )
    otherwise: tuple[OtherwiseEnds, ...] = Field(description="Options that the figure moves.")
    turned_low: tuple[str, ...] = Field(description="Options whose verdict turns at `low`.")
    turned_high: tuple[str, ...] = Field(description="Options whose verdict turns at `high`.")


class OneAtATime(Answer):
    """Every figure from one end of its range to the other, what moves the advice most first."""

    case: str
    currency: str
    futures: int = Field(description="Futures that the ranges are looked at with.")
    seed: int
    advised: tuple[str, ...] = Field(description="What the advised package holds.")
    npc: float = Field(description="NPC of the advised package on these futures [money].")
    site_kept: bool = Field(description="Whether what the site adds is kept as it is in the case.")
    options: tuple[Stand, ...]
    figures: tuple[Ends, ...]


class Explained(Answer):
    """How much of an answer's variance one figure explains."""

    what: What
    name: str
    first: float = Field(description="Share that it explains alone (first-order Sobol index).")
    first_low: float = Field(description="Of a 95 % interval.")
    first_high: float
    total: float = Field(
        description="Share that it explains alone and together with others (total index)."
    )
    total_low: float = Field(description="Of a 95 % interval.")
    total_high: float


class Spread(Answer):
    """One answer over all figures varied together, and what explains its variance."""

    mean: float = Field(description="Over the ranges [money].")
    deviation: float = Field(description="Standard deviation over the ranges [money].")
    p10: float
    p90: float
    error: float | None = Field(
        description="Root mean square of what is off where the case was valued in full [money]; "
        "none when that was not asked for."
    )
    figures: tuple[Explained, ...] = Field(
        description="Figures that move it, the largest total share first."
    )


class OptionSpread(Spread):
    """The same for what choosing otherwise costs, by option."""

    option: str
    verdict: Verdict
    otherwise: float = Field(description="With all figures as in the case [money].")
    turned: float = Field(description="Share of the ranges in which the verdict turns.")


class AllTogether(Answer):
    """All figures varied together, independent of each other, each alike anywhere in its range."""

    case: str
    currency: str
    futures: int = Field(description="Futures that the ranges are looked at with.")
    seed: int
    points: int = Field(description="Points of each of the two samples of the figures.")
    valuations: int = Field(description="Valuations of clusters that the surrogate rests on.")
    pairs: bool = Field(description="Whether the surrogate knows of pairs of figures throughout.")
    checked: int = Field(description="Points at which the whole case was valued in full.")
    checked_futures: int = Field(description="Futures of those valuations.")
    advised: tuple[str, ...]
    site_kept: bool
    varied: tuple[Varied, ...]
    npc: Spread = Field(description="Of the advised package.")
    options: tuple[OptionSpread, ...] = Field(description="The most easily turned first.")
