"""What is answered when figures come otherwise."""

from pydantic import Field

from optioneer.study.advice.answers import PackageAnswer, PackageFigures
from optioneer.study.answer import SEARCHED, Answer, DrawnAnswer, Verdict
from optioneer.study.unknowns.answers import FigureRange
from optioneer.study.worth.changes import Change
from optioneer.study.worth.figures import What


class Shift(Answer):
    """What changes say of one option."""

    option: str
    before: Verdict
    after: Verdict
    otherwise_before: float | None = Field(description="As `otherwise` in the advice [money].")
    otherwise_after: float | None
    otherwise_se_after: float | None
    close_call_after: bool


class Shifts(DrawnAnswer):
    """The advice before and after some changes, on the same draws."""

    budget: float | None
    changes: tuple[Change, ...]
    before: PackageFigures = Field(description="The package advised on the case as it is.")
    after: PackageFigures = Field(description="The package advised once changed.")
    keeping_costs: float = Field(
        description="Once changed, NPC of the package `before` less NPC of `after`: what ordering "
        "as advised before would cost [money]. Below 0 only if it no longer fits the budget."
    )
    keeping_costs_se: float = Field(description="Paired standard error of `keeping_costs`.")
    searched: bool = Field(default=False, description=SEARCHED)
    options: tuple[Shift, ...]


class WhatIf(Shifts):
    """The same with the bounds on both packages."""

    before: PackageAnswer = Field(description="The package advised on the case as it is.")
    after: PackageAnswer = Field(description="The package advised once changed.")


class Point(Answer):
    """The advice at one value of a figure."""

    at: float
    price: float = Field(description="Of the advised package [money].")
    npc: float = Field(description="Of the advised package [money].")
    options: tuple[str, ...] = Field(description="What it holds, standards included.")


class Turn(Answer):
    """A change of verdict between two values that were looked at."""

    low: float
    high: float
    at: float | None = Field(
        description="Where ordering now starts or stops to pay, in a straight line between the "
        "two; none between the two verdicts that do not order."
    )
    before: Verdict = Field(description="At `low`.")
    after: Verdict = Field(description="At `high`.")


class OptionTurns(Answer):
    """The verdicts on one option along a range of a figure."""

    option: str
    verdicts: tuple[Verdict, ...] = Field(description="One a point.")
    otherwise: tuple[float | None, ...] = Field(description="One a point [money].")
    turns: tuple[Turn, ...]


class Turning(DrawnAnswer):
    """The advice along a range of one figure, on the same draws."""

    budget: float | None
    what: What
    name: str
    here: float = Field(description="The figure as in the case.")
    searched: bool = Field(default=False, description=SEARCHED)
    points: tuple[Point, ...]
    options: tuple[OptionTurns, ...]


class Varied(FigureRange):
    """A figure that is varied, and its range."""

    why: str = Field(default="", description="Why it may be that far off.")


class Stand(Answer):
    """One option as advised, on all futures of the case."""

    option: str
    verdict: Verdict
    otherwise: float | None = Field(
        description="NPC of the best package with the other choice less NPC of the best package "
        "with the choice advised [money]; none when there is no other choice."
    )


class OtherwiseEnds(Answer):
    """What choosing otherwise costs at both ends of a range.

    That is what the advice says of it, plus what the figure adds. Below 0 the other choice is the
    better one: there the verdict turns between ordering now and not ordering.
    """

    option: str
    at_low: float
    at_low_se: float = Field(description="Standard error of what the figure adds there [money].")
    at_high: float
    at_high_se: float = Field(description="As `at_low_se`.")


class Ends(Varied):
    """The advice at both ends of the range of one figure, all others as in the case."""

    npc_low: float = Field(description="NPC of the advised package at `low` [money].")
    npc_low_se: float = Field(description="Standard error of what the figure adds there [money].")
    npc_high: float = Field(description="NPC of the advised package at `high` [money].")
    npc_high_se: float = Field(description="As `npc_low_se`.")
    moves: float = Field(
        description="Largest less least of the NPC at `low`, here and at `high` [money]."
    )
    otherwise: tuple[OtherwiseEnds, ...] = Field(description="Options that the figure moves.")
    turned_low: tuple[str, ...] = Field(description="Options whose verdict turns away at `low`.")
    turned_high: tuple[str, ...] = Field(description="Options whose verdict turns away at `high`.")


class OneAtATime(DrawnAnswer):
    """Every figure from one end of its range to the other, what moves the advice most first."""

    futures: int = Field(description="Futures that close calls are looked at with.")
    glanced: int = Field(description="The first of them, that all ranges are looked at with.")
    advised: tuple[str, ...] = Field(description="What the advised package holds.")
    npc: float = Field(description="NPC of the advised package, as advised [money].")
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
    turned: float = Field(description="Share of the ranges in which the verdict turns away.")


class AllTogether(DrawnAnswer):
    """All figures varied together, independent of each other, each alike anywhere in its range."""

    futures: int = Field(description="Futures that the ranges are looked at with.")
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
