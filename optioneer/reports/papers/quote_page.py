"""The page of a dealer's list: what each line means, and what is still open."""

from collections.abc import Sequence

from optioneer.model.case import Case
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Heading, Page, Paragraph, Part, Table, bullets_of
from optioneer.study.dealer.quote_lines import OtherLine, PlacedLine, Quoted

_HOW = {
    "mapping": "mapping file",
    "id": "its id",
    "name": "its name",
    "likeness": "a like name",
    "price": "its price only",
}


def quote_page(case: Case, quoted: Quoted, figures: Figures, *, done: str) -> Page:
    """What was made of a list.

    Parameters
    ----------
    done
        What was or was not written, in a sentence.
    """
    return (
        Heading(f"{case.machine.name}: the list {quoted.file}", "; ".join(quoted.notes)),
        Paragraph(done, strong=True),
        Paragraph(_columns(quoted)),
        *_later(case, quoted),
        *bullets_of("To be answered first", quoted.questions),
        *_placed_table("Lines that mean an option", quoted.placed, figures),
        *_placed_table(
            "Guesses, not taken in before a mapping file says so", quoted.guessed, figures
        ),
        *_others("Lines that mean no option of the case", quoted.unplaced),
        *_others("Left out", quoted.left_out),
        *bullets_of("Options of the case that no line means", _names(case, quoted)),
    )


def _columns(quoted: Quoted) -> str:
    code = f", codes in '{quoted.code_column}'" if quoted.code_column else ""
    mark = {"": "show no decimal mark", ".": "have decimal points", ",": "have decimal commas"}
    where = f"Names are in '{quoted.name_column}', prices in '{quoted.price_column}'{code}"
    return f"{where}. Prices {mark[quoted.decimal]}."


def _later(case: Case, quoted: Quoted) -> tuple[Part, ...]:
    """That retrofits do not become cheaper with the order."""
    known = case.catalogue.by_id
    if not any(option in known and known[option].retrofittable for option in quoted.changes):
        return ()
    kept = "What options list for later stays as it was (`later_price`): ask for that price too."
    return (Paragraph(kept),)


def _names(case: Case, quoted: Quoted) -> Sequence[str]:
    return [f"{one}: {case.catalogue.by_id[one].name}" for one in quoted.not_quoted]


def _placed_table(title: str, lines: Sequence[PlacedLine], figures: Figures) -> tuple[Part, ...]:
    rows = tuple(
        (
            str(one.row),
            one.option,
            figures.quoted(one.before),
            "included" if one.after is None else figures.quoted(one.after),
            f"{one.text} (by {_HOW[one.how]})",
        )
        for one in lines
    )
    heads = ("row", "option", "case", "quote", "line")
    return (Table(title, heads, rows, text_last=True),) if rows else ()


def _others(title: str, lines: Sequence[OtherLine]) -> tuple[Part, ...]:
    rows = tuple((str(one.row), one.price or "none", f"{one.text}: {one.why}") for one in lines)
    return (Table(title, ("row", "price", "line"), rows, text_last=True),) if rows else ()
