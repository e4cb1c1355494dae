"""What has been said of figures already, and by whom: the memory of a conversation."""

from datetime import date

from optioneer.model.case import Case
from optioneer.model.sources import origins, recorded
from optioneer.study.asking.answer_rules import RULES
from optioneer.study.worth.figures import FIGURES, KINDS, Figure

OF_CASE = {
    "kept-years": "machine/kept_years",
    "horizon": "growth/horizon_years",
    "discount-rate": "growth/discount_rate",
    "attended": "hours/attended",
    "beyond": "hours/beyond",
}
"""Keys of the figures that belong to the case."""


def key_of(figure: Figure) -> str:
    """The key of a figure in the list of sources.

    Examples
    --------
    >>> key_of(Figure("lasts-years", "bar-parts")), key_of(Figure("horizon"))
    ('stream/bar-parts/lasts_years', 'growth/horizon_years')
    """
    kind = KINDS.get(figure.what)
    if kind is None:
        return OF_CASE[figure.what]
    return f"{kind}/{figure.name}/{figure.what.replace('-', '_')}"


def with_word(case: Case, figure: Figure, answer: str, day: date) -> Case:
    """`case` with a line that says who answered what, earlier lines kept.

    Parameters
    ----------
    case
        The case, the figure as answered.
    figure
        Which.
    answer
        The words.
    day
        When.
    """
    who = RULES[figure.what].who
    return recorded(case, key_of(figure), who=who, day=day, note=f"Asked; answered: {answer}")


def told_already(case: Case) -> frozenset[Figure]:
    """Figures that somebody has told, or a dealer quoted, and that stand as they said."""
    said = {key for key, source in origins(case).items() if source in {"told", "quoted"}}
    names = {
        "driver": [driver.id for driver in case.growth.driver],
        "stream": [stream.id for stream in case.growth.stream],
        "option": [option.option for option in case.catalogue.options],
    }
    every = (
        Figure(what, name)
        for what in FIGURES
        for name in (names[KINDS[what]] if what in KINDS else [""])
    )
    return frozenset(figure for figure in every if key_of(figure) in said)
