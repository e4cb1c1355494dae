"""Any text that a case may hold, in all its fields at once, gives every paper."""

from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import cycle

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from optioneer.cli.papers import paper, pictures
from optioneer.model.case import Case
from optioneer.reports.faces.calendar import calendar_file
from optioneer.reports.papers.report import foot, report
from optioneer.reports.papers.request import request_page
from optioneer.reports.sheets.entry import entry_workbook
from optioneer.study.dealer.questions import questions
from optioneer.study.papers.diary import due_days
from optioneer.study.ready.first_chips import with_first_chips
from tests.cases_as_texts import few, mill, read
from tests.charts.test_labels import NAMES, RARE
from tests.reports.papers import EUROS, filled, quick_dossier

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
LONG = tuple(f"{'m' * before}{rare} {'long' * 30}" for rare in RARE for before in range(30, 50))


def allowed(text: str) -> bool:
    """Whether a field for a name takes the text and keeps something of it."""
    return bool(text.strip()) and not any(ord(c) < 32 or 127 <= ord(c) < 160 for c in text)


TEXTS = st.lists(NAMES.map(lambda text: text[:200]).filter(allowed), min_size=1, max_size=20)


def case_of(texts: tuple[str, ...]) -> Case:
    """Fields of every kind are in the few options and streams, too; each paper shows them."""
    return Case.model_validate(filled(read(few(mill(32))).case, cycle(texts), cycle(texts)))


def papers(case: Case) -> Iterator[bytes]:
    told = quick_dossier(with_first_chips(case))
    page = report(told, EUROS, pictures=pictures(told, EUROS), version="0.1.0")
    for kind in ("html", "pdf"):
        yield paper(page, kind, figures=EUROS, foot=foot(told, "0.1.0"))
    asked = questions(case, told.package, advice=told.advice)
    request = request_page(case, told.package, asked, EUROS)
    for kind in ("docx", "pdf", "txt"):
        yield paper(request, kind, figures=EUROS)
    yield calendar_file(case.name, due_days(case, told.package), EUROS, now=NOW)
    yield entry_workbook(case)


@pytest.mark.parametrize("texts", [LONG, ("\U0001f600" * 100, "\U00020bb7" * 200, "a\ufffe\uffff")])
def test_long_names_with_rare_characters_give_every_paper(texts: tuple[str, ...]) -> None:
    assert all(papers(case_of(texts)))


@settings(max_examples=3, deadline=None, suppress_health_check=list(HealthCheck))
@given(texts=TEXTS)
def test_any_texts_give_every_paper(texts: list[str]) -> None:
    assert all(papers(case_of(tuple(texts))))
