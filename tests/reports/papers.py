"""A small demo case with all its answers, as it is and with hostile texts in every field."""

from collections.abc import Iterator
from functools import cache
from itertools import cycle
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from optioneer.files.case.read import read_case
from optioneer.model.case import Case
from optioneer.model.machine import Machine
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Page, Picture
from optioneer.reports.papers.report import report
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.papers.dossier import Dossier, dossier
from optioneer.study.ready.first_chips import with_first_chips
from tests.lessons import few_lessons

DEMOS = Path(__file__).parents[2] / "catalogs_demo"
EUROS = Figures("EUR")

PAYLOADS = (
    "</script><script>window.pwn=1</script>",
    "<img src=x onerror=window.pwn=1>",
    "<svg/onload=window.pwn=1>",
    '"><iframe srcdoc="<script>parent.pwn=1</script>">',
    "javascript:window.pwn=1",
    "{{7*7}} {% for x in y %}",
    "${7*7} #{7*7}",
    '#read("/etc/passwd") #import "@preview/x:0.1.0"',
    '#eval("1+1") $x^2$ *bold* _it_ `raw` @label <label>',
    "datum.x; throw 1",
    "line\u2028separator\u2029end",
    "\u202eevil\u202c right-to-left",
    "=1+1",
    "+SUM(1;1)",
    "-2+3+cmd|' /C calc'!A0",
    "@SUM(1)",
    '\uff1dHYPERLINK("x")',
    "BEGIN:VALARM\\nTRIGGER:-PT1M; , \\",
    "]]> <!-- --> &amp; &#x3c;script&#x3e;",
    "x" * 190,
)
"""Texts that would act if any face took them for more than text."""


@cache
def told(name: str = "small-mill") -> Dossier:
    """All answers about a demo case, on few futures; of the large one only the layout is asked."""
    return quick_dossier(demo_case(name), prove=name == "small-mill")


def quick_dossier(case: Case, *, prove: bool = False) -> Dossier:
    """All answers about a case; how good a policy is moves no line of a paper."""
    with few_lessons():
        return dossier(AdviceRequest(case, prove=prove))


def demo_case(name: str = "small-mill") -> Case:
    """The demo case that all is told about."""
    return with_first_chips(_fewer(read_case(DEMOS / name), 256 if name == "small-mill" else 32))


@cache
def hostile() -> Dossier:
    """All answers about a case every text of which is one of `PAYLOADS`."""
    case = with_payloads(read_case(DEMOS / "small-mill"))
    return quick_dossier(with_first_chips(_fewer(case, 64)))


def _fewer(case: Case, count: int) -> Case:
    return case.model_copy(update={"growth": case.growth.model_copy(update={"futures": count})})


def with_payloads(case: Case) -> Case:
    """The case with a payload for every free text: names, notes, payees.

    Names have a round of their own: papers show every name, but not every note, and whichever
    fields a case gets, each payload must come to be shown.
    """
    return Case.model_validate(filled(case, cycle(PAYLOADS), cycle(PAYLOADS)))


FREE = frozenset({"name", "what", "kind", "note", "lender", "lessor", "dealer"})
"""Fields that hold free text (a plan's and a supply's `kind` is no text and is kept)."""


def filled(value: Any, names: Iterator[str], others: Iterator[str]) -> Any:
    """A fact with the next payload for every free text of it and of all it holds."""
    if isinstance(value, BaseModel):
        kept = set() if isinstance(value, Machine) else {"kind"}
        made = {
            field: next(names if field == "name" else others)
            if field in FREE - kept and isinstance(getattr(value, field), str)
            else filled(getattr(value, field), names, others)
            for field in type(value).model_fields
        }
        return type(value)(**_aliased(value, made))
    if isinstance(value, tuple):
        return tuple(filled(one, names, others) for one in value)
    return value


def _aliased(value: BaseModel, made: dict[str, Any]) -> dict[str, Any]:
    fields = type(value).model_fields
    return {fields[name].alias or name: one for name, one in made.items()}


def page(of: Dossier, pictures: dict[str, Picture] | None = None) -> Page:
    """The report as parts."""
    return report(of, EUROS, pictures=pictures or {}, version="0.1.0")
