"""What has been said of figures already, and by whom: the memory of a conversation."""

from datetime import date

from optioneer.model.case import Case
from optioneer.model.origin import Origin
from optioneer.model.sources import SPOKEN, origins, with_source
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


ASKED = "Asked; answered: "
"""How the note of an answer begins."""


def with_word(case: Case, figure: Figure, answer: str, day: date, *, who: str = "") -> Case:
    """`case` with a line that says who answered what, earlier lines kept.

    Parameters
    ----------
    case
        The case, the figure as answered.
    answer
        The words.
    day
        When.
    who
        Who; blank: who can answer such a question.
    """
    speaker = who.strip() or RULES[figure.what].who
    return with_source(case, key_of(figure), who=speaker, day=day, note=f"{ASKED}{answer}")


def beside(case: Case, other: Case) -> Case:
    """`case` as it is, with what was said in `other`: an answer that is kept and does not count."""
    return case.model_copy(update={"sources": other.sources})


def answers_given(case: Case) -> tuple[Origin, ...]:
    """What was answered to questions, the first first."""
    return tuple(one for one in case.sources or () if one.note.startswith(ASKED))


def told_already(case: Case) -> frozenset[Figure]:
    """Figures that somebody has told, or a dealer quoted, and that stand as they said."""
    said = {key for key, source in origins(case).items() if source in SPOKEN}
    return frozenset(figure for key, figure in figures_by_key(case).items() if key in said)


def figures_by_key(case: Case) -> dict[str, Figure]:
    """Every figure that may be asked for, by its key in the list of sources."""
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
    return {key_of(figure): figure for figure in every}
