"""How much of an answer rests on quotes, on what people said, on what is usual, on examples."""

from collections.abc import Mapping

from optioneer.model.case import Case
from optioneer.model.sources import Rest, Standing, rests
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph, Table

SAID: Mapping[Standing, str] = {
    "quoted": "quoted",
    "told": "told",
    "usual": "usual in the trade",
    "computed": "computed",
    "example": "invented examples",
    "unsaid": "without a source",
}
"""Where a figure is from, in words."""

EXAMPLE = "This advice is an example: "


def rests_parts(case: Case, figures: Figures) -> tuple[Paragraph, ...]:
    """A paragraph that says what the answer rests on; none for a case that says it of nothing."""
    found = _rest_by_source(case)
    if not found:
        return ()
    counts = _word_list([f"{rest.figures} {SAID[source]}" for source, rest in found.items()])
    sure = _share(found, ("quoted",), "prices")
    known = _share(found, ("quoted", "told", "computed"), "margins")
    invented = "example" in found
    text = (
        f"{EXAMPLE if invented else ''}of {sum(rest.figures for rest in found.values())} figures "
        f"are {counts}. Of the prices {figures.share(sure)} are quoted, of the expected margins "
        f"{figures.share(known)} told or computed."
    )
    return (Paragraph(text if invented else f"{text[0].upper()}{text[1:]}", strong=invented),)


def rests_table(case: Case, figures: Figures) -> tuple[Table, ...]:
    """The same as a table; none for a case that says it of nothing."""
    rows = tuple(
        (
            SAID[source],
            figures.number(rest.figures),
            figures.about(rest.prices),
            figures.about(rest.margins),
        )
        for source, rest in _rest_by_source(case).items()
    )
    heads = ("source", "figures", "prices", "expected margins a year")
    note = "sources.csv says of each figure who said it, and when."
    return (Table("Where the figures are from", heads, rows, note=note),) if rows else ()


def figure_named(case: Case, key: str) -> str:
    """A figure of the list of sources in words, by its key.

    Parameters
    ----------
    key
        As the list of sources writes it.
    """
    room, *rest = key.split("/")
    names = {
        "option": {each.option: each.name for each in case.catalogue.options},
        "stream": {each.id: each.name for each in case.growth.stream},
        "driver": {each.id: each.name for each in case.growth.driver},
    }.get(room)
    owner = room.replace("_", " ").capitalize()
    if names is not None and rest:
        owner, rest = names.get(rest[0]) or rest[0], rest[1:]
    return f"{owner}: {' '.join(rest).replace('_', ' ')}" if rest else owner


def _rest_by_source(case: Case) -> Mapping[Standing, Rest]:
    """What the case rests on, where it says so of anything."""
    said = case.sources is not None or any(option.kind for option in case.catalogue.options)
    return rests(case) if said else {}


def _share(found: Mapping[Standing, Rest], sources: tuple[str, ...], what: str) -> float:
    """The share of prices or margins that rests on some sources; all of nothing is none."""
    whole = sum(getattr(rest, what) for rest in found.values())
    part = sum(getattr(rest, what) for source, rest in found.items() if source in sources)
    return float(part / whole) if whole else 0.0


def _word_list(words: list[str]) -> str:
    """Words with commas and an `and`."""
    return f"{', '.join(words[:-1])} and {words[-1]}" if len(words) > 1 else words[0]
