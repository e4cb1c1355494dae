"""The advice on many cases, each with many sets of changes: a row for each."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import Field

import optioneer
from optioneer.errors import OptioneerError
from optioneer.model.case import Case
from optioneer.study.advice.verdicts import short_advice_on
from optioneer.study.answer import Answer
from optioneer.study.problem.request import Request
from optioneer.study.worth.changes import Asked, asked_change, with_changes
from optioneer.study.worth.figures import FIGURES, KINDS
from optioneer.study.worth.pursed import valued_as_paid

Cells = tuple[tuple[str, str], ...]
"""Heading and text of each cell of a row of a table of changes; empty cells are left out."""


@dataclass(frozen=True)
class BatchErrand:
    """One case with one set of changes.

    Parameters
    ----------
    number
        Place among all rows, from 1.
    case
        Name of the case.
    facts
        The case; none where it cannot be read.
    futures, seed
        Of the draws, instead of the case's own.
    """

    number: int
    case: str
    facts: Case | None
    wrong: str
    cells: Cells
    futures: int | None = None
    seed: int | None = None

    @property
    def name(self) -> str:
        """The name of all that its row hangs on; the place is no part of it."""
        facts = "" if self.facts is None else self.facts.model_dump_json()
        asked = (optioneer.__version__, self.case, self.wrong, self.cells, self.futures, self.seed)
        return hashlib.sha256(f"{asked!r} {facts}".encode()).hexdigest()


class BatchRow(Answer):
    """What one case with one set of changes comes to."""

    row: int
    case: str
    changes: str = Field(description="As in the table, with semicolons between them.")
    error: str = Field("", description="Why there is no answer; empty where there is one.")
    currency: str = ""
    price: float | None = Field(None, description="Of the advised package.")
    npc: float | None = None
    npc_se: float | None = None
    outcome: float | None = Field(None, description="Mean of what the shop has in the end.")
    p10: float | None = None
    p50: float | None = None
    p90: float | None = None
    worst_tenth: float | None = None
    not_buying: float | None = None
    gain: float | None = Field(None, description="What buying brings beyond not buying.")
    options: str = Field("", description="Everything fitted, with semicolons between them.")
    retrofit: str = Field("", description="Options that are left for a retrofit, likewise.")
    close: str = Field("", description="Options whose verdict is too close to call, likewise.")


def failed(errand: BatchErrand, wrong: Exception) -> BatchRow:
    """The row of a errand that ended in a fault of the program or of its worker."""
    told = f"{type(wrong).__name__}: {wrong}"
    return _bare(errand).model_copy(update={"error": " ".join(told.split())})


def _bare(errand: BatchErrand) -> BatchRow:
    changes = ";".join(f"{heading}={text}" for heading, text in errand.cells)
    return BatchRow(row=errand.number, case=errand.case, changes=changes)


def batch_row(errand: BatchErrand) -> BatchRow:
    """The row of a errand; what is wrong with its case or its changes is told in the row."""
    bare = _bare(errand)
    if errand.facts is None:
        return bare.model_copy(update={"error": errand.wrong})
    try:
        case = _changed(errand.facts, errand.cells)
        counted = Request(case, futures=errand.futures, seed=errand.seed).counted
        advice = short_advice_on(valued_as_paid(counted, bounds=False))
    except OptioneerError as error:
        return bare.model_copy(update={"error": str(error)})
    best = advice.advised
    told = {name: getattr(best.outcome, name) for name in ("p10", "p50", "p90", "worst_tenth")}
    later = (o.option for o in advice.options if o.verdict == "leave for retrofit")
    return bare.model_copy(
        update={
            **told,
            "currency": case.machine.currency,
            "price": best.price,
            "npc": best.npc,
            "npc_se": best.npc_se,
            "outcome": best.outcome.mean,
            "not_buying": best.outcome.not_buying,
            "gain": best.outcome.mean - best.outcome.not_buying,
            "options": ";".join(best.options),
            "retrofit": ";".join(later),
            "close": ";".join(o.option for o in advice.options if o.close_call),
        }
    )


def _changed(case: Case, cells: Cells) -> Case:
    return with_changes(case, _asked(cells))[0] if cells else case


def _asked(cells: Cells) -> Sequence[Asked]:
    """What cells ask: the heading names the figure as `whatif` does, the text says its value."""
    asked = []
    for heading, text in cells:
        word, _, name = heading.strip().partition(" ")
        what = next((each for each in FIGURES if each == word), None)
        if what is None:
            raise UnknownHeadingError(heading)
        asked.append(asked_change(what, f"{name.strip()}={text}" if what in KINDS else text))
    return asked


class UnknownHeadingError(OptioneerError):
    """A heading of a table of changes that names no figure."""

    def __init__(self, heading: str) -> None:
        words = ", ".join(FIGURES)
        super().__init__(
            f"Heading '{heading}' names no figure. Write one of {words}, and after a space the "
            "driver, stream or option that it belongs to, e.g. 'chance night-lots'."
        )


def must_name_figures(headings: Sequence[str]) -> None:
    """Refuse a table whose headings name no figures, before anything is valued.

    Raises
    ------
    UnknownHeadingError
        If one does not.
    """
    for heading in headings:
        if heading.strip().partition(" ")[0] not in FIGURES:
            raise UnknownHeadingError(heading)
