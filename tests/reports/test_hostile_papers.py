"""Hostile texts in every field of a case: each paper shows them and does nothing else."""

import io
import re
from functools import cache
from pathlib import Path

import docx
import html5lib
import pytest
from playwright.sync_api import sync_playwright
from pypdf import PdfReader

from optioneer.cli.papers import pictures
from optioneer.reports.faces.docx import docx_paper
from optioneer.reports.faces.email import WIDTH, email_text
from optioneer.reports.faces.html import html_paper
from optioneer.reports.faces.pdf import pdf_paper
from optioneer.reports.page.parts import Page
from optioneer.reports.page.printable import inert_cell, printable
from optioneer.reports.page.vector import inert_svg
from optioneer.reports.papers.report import report
from optioneer.reports.papers.request import request_page
from optioneer.study.dealer.questions import questions
from tests.programs import needed
from tests.reports.papers import EUROS, PAYLOADS, hostile

ALLOWED = {
    *("html", "head", "meta", "title", "style", "body", "main", "header", "h1", "h2", "h3", "p"),
    *("div", "table", "caption", "thead", "tbody", "tr", "th", "td", "ul", "li", "figure"),
    *("figcaption", "svg", "g", "path", "rect", "line", "circle", "text", "tspan", "defs"),
    "clipPath",
}
SEEN = [text for text in PAYLOADS if text.isascii() and not text.startswith("x")]


@cache
def report_page() -> Page:
    return report(hostile(), EUROS, pictures=pictures(hostile(), EUROS), version="0.1.0")


@cache
def request() -> Page:
    one = hostile()
    asked = questions(one.case, one.package, advice=one.advice)
    return request_page(one.case, one.package, asked, EUROS)


def squeezed(text: str) -> str:
    return re.sub(r"\s+", "", text)


def test_the_html_holds_only_known_elements_and_no_handler() -> None:
    tree = html5lib.parse(html_paper(report_page()), namespaceHTMLElements=False)
    elements = [one for one in tree.iter() if isinstance(one.tag, str)]
    assert {one.tag.rpartition("}")[2] for one in elements} <= ALLOWED
    names = {name for one in elements for name in one.attrib}
    assert not {name for name in names if name.startswith("on") or name in {"src", "href"}}


def test_the_html_shows_every_payload_as_it_was_written() -> None:
    tree = html5lib.parse(html_paper(report_page()), namespaceHTMLElements=False)
    shown = squeezed("".join(tree.itertext()))
    assert [text for text in SEEN if squeezed(text) not in shown] == []


def test_nothing_runs_and_nothing_is_asked_of_the_network_in_a_browser(tmp_path: Path) -> None:
    chromium = needed("chromium")
    file = tmp_path / "report.html"
    file.write_text(html_paper(report_page()), encoding="utf-8")
    asked: list[str] = []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox"])
        page = browser.new_page()
        page.on("request", lambda request: asked.append(request.url))
        page.goto(file.as_uri())
        assert page.evaluate("window.pwn") is None
        assert page.locator("svg").count() == 5
        browser.close()
    assert asked == [file.as_uri()]


def test_the_pdf_shows_typesetting_commands_as_text() -> None:
    reader = PdfReader(io.BytesIO(pdf_paper(report_page(), foot=PAYLOADS[7])))
    shown = squeezed("".join(sheet.extract_text() for sheet in reader.pages))
    assert squeezed('#read("/etc/passwd")') in shown
    assert "root:x:0" not in shown
    assert squeezed("$x^2$*bold*_it_`raw`") in shown
    assert "/JavaScript" not in str(reader.trailer["/Root"])
    assert not [sheet for sheet in reader.pages if "/Annots" in sheet]


def test_the_request_holds_every_payload_as_text_in_a_word_processor() -> None:
    document = docx.Document(io.BytesIO(docx_paper(request())))
    cells = [cell.text for table in document.tables for row in table.rows for cell in row.cells]
    assert len(cells) > 50
    acting = [cell for cell in cells if cell != inert_cell(cell)]
    assert acting == []
    assert any(cell.startswith("'=") for cell in cells)
    assert "<w:hyperlink" not in document.element.xml


def test_the_e_mail_is_short_lines_without_anything_that_acts() -> None:
    lines = email_text(request()).splitlines()
    assert max(len(line) for line in lines if " " in line.strip()) <= WIDTH
    assert not [line for line in lines if line[:1] in "=@+"[: len(line)] and line]
    assert all(line == printable(line) for line in lines)


@pytest.mark.parametrize("text", ["=1+1", "@x", "+SUM(1)", "-2+cmd|' /C calc'!A0", "\uff1d1"])
def test_a_cell_that_would_run_gets_an_apostrophe(text: str) -> None:
    assert inert_cell(text) == f"'{text}"
    assert inert_cell(f"  {text}") == f"'  {text}"


@pytest.mark.parametrize("text", ["-$900", "+ $41,237 ± 912", "- Hinged belt", "", "3 + 4"])
def test_a_figure_with_its_sign_stays(text: str) -> None:
    assert inert_cell(text) == text


def test_a_drawing_keeps_its_lines_and_loses_all_that_acts() -> None:
    svg = (
        '<svg xmlns="http://www.w3.org/2000/svg" width="10" height="10" onload="pwn()">'
        '<script>pwn()</script><a href="javascript:pwn()"><path d="M0 0"/></a>'
        '<foreignObject><b>x</b></foreignObject><g clip-path="url(#c)"><path id="c" d="M1 1" '
        'style="background:url(http://x)" fill="url(http://x)"/></g><text>&lt;b&gt;</text></svg>'
    )
    drawn = inert_svg(svg, told='a "word"', prefix="p-")
    assert drawn == (
        '<svg xmlns="http://www.w3.org/2000/svg" role="img" aria-label="a &quot;word&quot;" '
        'width="10" height="10"><g clip-path="url(#p-c)"><path id="p-c" d="M1 1" /></g>'
        "<text>&lt;b&gt;</text></svg>"
    )
