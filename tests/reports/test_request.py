"""The request to the dealer: the package by its quote names, the questions, no guess given away."""

import io
import re

import docx
from pypdf import PdfReader

from optioneer.reports.faces.docx import docx_paper
from optioneer.reports.faces.email import email_text
from optioneer.reports.faces.pdf import pdf_paper
from optioneer.reports.page.money import Figures
from optioneer.reports.papers.request import request_page
from optioneer.study.dealer.questions import questions
from tests import shop
from tests.study.dealer.test_questions import ADVISED

DOLLARS = Figures("USD")
ASKED = questions(shop.case(), ADVISED, advice=shop.advice())
PAGE = request_page(shop.case(), ADVISED, ASKED, DOLLARS)
OPEN = request_page(shop.case(), ADVISED, ASKED, DOLLARS, own_figures=True)


def squeezed(text: str) -> str:
    return re.sub(r"\s+", " ", text)


def test_the_package_is_listed_by_the_names_of_the_quote_with_its_prices() -> None:
    text = squeezed(email_text(PAGE))
    assert "- 1: $312,000; Demo mill-turn - 2: $14,500; 60 tool pockets" in text
    assert "$4,800.50; Automatic door" in text
    assert "Work light" not in text.partition("1. PRICE")[0]  # standard: nothing to order


def test_every_question_is_asked_and_numbered() -> None:
    text = squeezed(email_text(PAGE))
    for number, question in enumerate(ASKED, start=1):
        assert f"{number}. {question.title.upper()}" in text
    for words in ("prepared at the factory", "firm price for fitting", "stand still", "ISO 230-1"):
        assert words in text
    for words in ("installation drawing", "stages of payment", "take off the price", "undecided"):
        assert words in text


def test_the_buyers_guesses_stay_at_home_unless_asked_for() -> None:
    quiet, loud = squeezed(email_text(PAGE)), squeezed(email_text(OPEN))
    assert "$8,680" not in quiet  # 6,200 x 1.4, what a later probe is reckoned with
    assert "- Work probe: $8,680; 1 days" in loud
    assert "we reckon with" not in quiet
    assert "we reckon with" in loud


def test_a_word_processor_reads_the_same_words() -> None:
    document = docx.Document(io.BytesIO(docx_paper(PAGE)))
    heads = [p.text for p in document.paragraphs if p.style and p.style.name == "Heading 2"]
    assert heads[:2] == ["To be quoted", "1. Price"]
    assert len([head for head in heads if head[0].isdigit()]) == len(ASKED)
    first = [[cell.text for cell in row.cells] for row in document.tables[0].rows]
    assert first[:2] == [
        ["no.", "so far", "machine and options"],
        ["1", "$312,000", "Demo mill-turn"],
    ]
    assert document.core_properties.language == "en"
    repeated = document.tables[0].rows[0]._tr.xpath("./w:trPr/w:tblHeader")
    assert len(repeated) == 1


def test_the_pdf_has_every_question() -> None:
    reader = PdfReader(io.BytesIO(pdf_paper(PAGE)))
    text = squeezed(" ".join(page.extract_text() for page in reader.pages))
    assert [one.title for one in ASKED if one.title not in text] == []
