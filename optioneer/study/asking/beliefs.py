"""What a case believes of a figure that is asked for, in the unit in which it is asked."""

from dataclasses import dataclass

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.study.unknowns.ranges import every_ranged
from optioneer.study.worth.figures import Figure, figure_of, owner_of


@dataclass(frozen=True)
class Belief:
    """What is believed of a figure.

    Parameters
    ----------
    low, likely, high
        Ends and the likeliest; all one where it is certain.
    told
        Whether somebody told three figures, a triangle; else a range as wide as such figures are
        usually off.
    """

    low: float
    likely: float
    high: float
    told: bool


def belief(case: Case, figure: Figure) -> Belief:
    """What a case believes of a figure; a retrofit multiplier as the price of fitting it later.

    Parameters
    ----------
    figure
        Which of its figures.
    """
    found, unit = _figures_in(case, figure), unit_of(case, figure)
    if found is not None:
        return Belief(found.low * unit, found.likely * unit, found.high * unit, told=True)
    here, names = figure_of(case, figure), (figure.what, figure.name)
    for each in every_ranged(case):
        if (each.figure.what, each.figure.name) == names:
            return Belief(each.low * unit, here * unit, each.high * unit, told=False)
    return Belief(here * unit, here * unit, here * unit, told=False)


def unit_of(case: Case, figure: Figure) -> float:
    """What one of a figure is in the unit in which it is asked: a multiplier is asked in money."""
    owner = owner_of(case, figure)
    return owner.listed_later if isinstance(owner, Option) and figure.what == "multiplier" else 1.0


def _figures_in(case: Case, figure: Figure) -> Triangular | None:
    """The three figures that a case tells, if it does."""
    if figure.what == "kept-years":
        found: object = case.machine.kept_years
    else:
        owner = owner_of(case, figure)
        named = isinstance(owner, Stream | Option)
        found = getattr(owner, figure.what.replace("-", "_"), None) if named else None
    return found if isinstance(found, Triangular) else None
