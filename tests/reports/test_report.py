"""The report: the decision on two sheets, the proof behind it, the figures of the screen."""

import io
import re
from functools import cache
from itertools import pairwise
from typing import Any

import html5lib
import pytest
from pypdf import PdfReader

from optioneer.cli.papers import pictures
from optioneer.reports.advice.pages import advice_page
from optioneer.reports.faces.html import html_paper
from optioneer.reports.faces.pdf import UNSHOWN, pdf_paper
from optioneer.reports.faces.terminal import terminal_text
from optioneer.reports.page.cautions import cautions
from optioneer.reports.page.parts import Entries, Heading, Page, Section, Table
from optioneer.reports.page.plain_parts import plain_parts
from optioneer.reports.papers.report import foot, report
from optioneer.study.papers.dossier import Dossier
from tests.reports.papers import EUROS, hostile, told


@cache
def page_of(name: str) -> Page:
    one = hostile() if name == "hostile" else told(name)
    return report(one, EUROS, pictures=pictures(one, EUROS), version="0.1.0")


@cache
def pdf_of(name: str) -> PdfReader:
    one = hostile() if name == "hostile" else told(name)
    return PdfReader(io.BytesIO(pdf_paper(page_of(name), foot=foot(one, "0.1.0"))))


@cache
def html_of(name: str) -> str:
    return html_paper(page_of(name))


def root_of(reader: PdfReader) -> Any:
    return reader.trailer["/Root"]


@cache
def sheets(name: str, count: int | None = None) -> list[str]:
    """What stands on the first sheets, so many or all, for reading one takes its time."""
    return [re.sub(r"\s+", " ", sheet.extract_text()) for sheet in pdf_of(name).pages[:count]]


@pytest.mark.parametrize("name", ["small-mill", "mill-turn"])
def test_two_sheets_decide_and_the_appendix_begins_on_the_third(name: str) -> None:
    first, second, third = sheets(name, 3)
    assert "order now" in first
    assert "Road to first chips" in second
    assert third.startswith("Appendix A")


def test_the_deciding_sheets_answer_every_question_of_the_owner() -> None:
    shown = " ".join(sheets("small-mill", 3)[:2])
    wanted = (
        "order now",
        "what waits",
        "What it costs and when",
        "the worst tenth averages",
        "How sure",
        "What would change our mind",
        "worth asking before you sign",
        "Road to first chips",
        "All this rests on",
        "people licensed for them",
    )
    assert [words for words in wanted if words not in shown] == []


def test_the_report_can_be_reproduced_from_what_it_says() -> None:
    text = " ".join(sheets("small-mill"))
    one = told()
    assert f"SHA-256 {one.fingerprint}" in text
    assert "optioneer 0.1.0" in text
    assert "256 futures, seed" in text
    assert all(one.fingerprint[:16] in sheet for sheet in sheets("small-mill"))


def test_every_caution_is_in_the_report() -> None:
    text = " ".join(sheets("small-mill"))
    for caution in (*cautions(told().case), *told().ready.standing):  # type: ignore[union-attr]  # it has a site
        assert re.sub(r"\s+", " ", caution) in text


def figures_of(page: Page) -> set[str]:
    """Every cell that holds a figure."""
    cells = [cell for part in page if isinstance(part, Table) for row in part.rows for cell in row]
    entries = [entry for part in page if isinstance(part, Entries) for entry in part.entries]
    cells += [figure for entry in entries for figure in entry.figures]
    return {cell for cell in cells if any(letter.isdigit() for letter in cell)}


def test_screen_and_report_show_the_same_figures() -> None:
    one = told()
    screen = figures_of(advice_page(one.case, one.advice, EUROS))
    assert len(screen) > 50
    assert screen <= figures_of(page_of("small-mill"))


def test_html_and_pdf_show_the_same_figures() -> None:
    tree = html5lib.parse(html_of("small-mill"), namespaceHTMLElements=False)
    html = re.sub(r"\s+", "", "".join(tree.itertext()))
    pdf = "".join(sheets("small-mill")).replace(" ", "")
    for cell in figures_of(page_of("small-mill")):
        short = re.sub(r"\s+", "", cell)
        assert short in html, cell
        assert short in pdf, cell


def test_the_pdf_is_tagged_names_its_language_and_carries_its_fonts() -> None:
    catalog = root_of(pdf_of("small-mill"))
    assert catalog["/MarkInfo"]["/Marked"] == True  # noqa: E712 - the reader's own kind of truth
    assert catalog["/Lang"] == "en"
    assert "/StructTreeRoot" in catalog
    assert "pdfuaid" in catalog["/Metadata"].get_data().decode()  # ISO 14289-1, PDF/UA-1
    pages: Any = pdf_of("small-mill").pages
    for sheet in pages:
        for font in sheet["/Resources"]["/Font"].values():
            (inner,) = font.get_object()["/DescendantFonts"]
            descriptor = inner.get_object()["/FontDescriptor"].get_object()
            assert descriptor.keys() & {"/FontFile2", "/FontFile3"}


def test_every_drawing_in_the_pdf_is_told_in_words() -> None:
    def told_in(node: Any) -> list[str]:
        found = node.get_object()
        if isinstance(found, list):
            return [words for child in found for words in told_in(child)]
        if not hasattr(found, "get"):
            return []
        own = [str(found["/Alt"])] if "/Alt" in found else []
        return own + (told_in(found["/K"]) if "/K" in found else [])

    drawn = [part for part in page_of("small-mill") if type(part).__name__ == "Picture"]
    tree = root_of(pdf_of("small-mill"))["/StructTreeRoot"]
    assert len(drawn) == 5
    assert len(told_in(tree)) == len(drawn)


@pytest.mark.parametrize("name", ["small-mill", "hostile"])
def test_the_html_is_valid_small_and_alone(name: str) -> None:
    text = html_of(name)
    html5lib.HTMLParser(strict=True).parse(text)  # raises on the first error
    assert len(text.encode()) < 1_500_000
    assert "script-src 'none'" in text
    assert "default-src 'none'" in text
    assert not re.findall(r"(?:src|href)\s*=", text.replace("src=x", ""))


def test_every_chart_has_words_and_a_table_after_it() -> None:
    tree = html5lib.parse(html_of("small-mill"), namespaceHTMLElements=False)
    drawings = [one for one in tree.iter() if str(one.tag).endswith("svg")]
    assert len(drawings) == 5
    assert all(one.get("role") == "img" and len(one.get("aria-label", "")) > 40 for one in drawings)
    assert len(tree.findall(".//table")) > 15
    assert all(table.find(".//th") is not None for table in tree.findall(".//table"))


def test_headings_never_skip_a_level() -> None:
    levels = [1]
    for part in plain_parts(page_of("small-mill")):
        if part["kind"] == "section":
            levels.append(2)
        elif part["kind"] in {"table", "bullets", "picture"} and part["title"]:
            levels.append(part["level"])
    assert all(below - above <= 1 for above, below in pairwise(levels))
    assert isinstance(page_of("small-mill")[0], Heading)


def test_a_case_without_paying_and_site_says_so() -> None:
    bare = bare_dossier()
    text = terminal_text(report(bare, EUROS, pictures={}, version="0.1.0"))
    assert "the case tells no way of paying (paying.toml)" in re.sub(r"\s+", " ", text)
    assert "the case tells no site (site.toml)" in re.sub(r"\s+", " ", text)
    names = [part.text[:10] for part in page_without(bare) if isinstance(part, Section)]
    assert "Appendix C" not in names
    assert "Appendix D" not in names


def bare_dossier() -> Dossier:
    one = told()
    return Dossier(**{**vars(one), "money": None, "ready": None})


def page_without(one: Dossier) -> Page:
    return report(one, EUROS, pictures={}, version="0.1.0")


def test_the_fingerprint_follows_the_facts_and_nothing_else() -> None:
    case = told().case
    assert case.fingerprint == case.model_copy(update={"name": "renamed"}).fingerprint
    dearer = case.machine.model_copy(update={"base_price": case.machine.base_price + 0.01})
    assert case.model_copy(update={"machine": dearer}).fingerprint != case.fingerprint
    assert re.fullmatch(r"[0-9a-f]{64}", case.fingerprint)


def test_letters_that_no_font_has_are_owned_up_to() -> None:
    page = (Heading("\U00012000 cuneiform"), *page_of("small-mill")[1:3])
    reader = PdfReader(io.BytesIO(pdf_paper(page)))
    assert UNSHOWN in re.sub(r"\s+", " ", reader.pages[0].extract_text())
    assert "/StructTreeRoot" in root_of(reader)
