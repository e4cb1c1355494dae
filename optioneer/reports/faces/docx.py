"""A page as a document for a word processor, made to be filled in and sent on."""

import io
from typing import Any

from optioneer.reports.page.parts import Page
from optioneer.reports.page.plain_parts import PlainPart, plain_parts


def docx_paper(page: Page) -> bytes:
    """`page` as a DOCX file; drawings are told in words.

    Raises
    ------
    ImportError
        The extra ``papers`` is not installed.
    """
    import docx  # noqa: PLC0415 - an extra: only for papers

    document = docx.Document()
    parts = plain_parts(page)
    title = next((part["text"] for part in parts if part["kind"] == "heading"), "")
    document.core_properties.title = title[:255]
    document.core_properties.author = ""
    document.core_properties.language = "en"
    document.core_properties.comments = ""
    for part in parts:
        _add(document, part)
    written = io.BytesIO()
    document.save(written)
    return written.getvalue()


# The library builds documents by calls on objects whose types it does not export: Any here.
def _add(document: Any, part: PlainPart) -> None:
    match part["kind"]:
        case "heading":
            document.add_heading(part["text"], level=1)
            document.add_paragraph(part["aside"])
        case "section":
            document.add_heading(part["text"], level=2)
        case "paragraph":
            document.add_paragraph().add_run(part["text"]).bold = part["strong"]
        case "bullets":
            document.add_heading(part["title"], level=part["level"])
            for sentence in part["sentences"]:
                document.add_paragraph(sentence, style="List Bullet")
        case "entries":
            document.add_heading(part["title"], level=part["level"])
            rows = [[e["name"], *e["figures"], e["sentence"]] for e in part["entries"]]
            _table(document, ["", *part["heads"], ""], rows)
            document.add_paragraph(part["foot"])
        case "table":
            if part["title"]:
                document.add_heading(part["title"], level=part["level"])
            _table(document, part["heads"] if part["headed"] else [], part["rows"])
            document.add_paragraph(part["note"])
        case "picture":
            document.add_paragraph(f"{part['title']}: {part['told']}")


def _table(document: Any, heads: list[str], rows: list[list[str]]) -> None:
    lines = [heads, *rows] if heads else rows
    if not lines:
        return
    table = document.add_table(rows=len(lines), cols=len(lines[0]), style="Table Grid")
    for cells, line in zip(table.rows, lines, strict=True):
        for cell, text in zip(cells.cells, line, strict=True):
            cell.text = text
    if heads:
        _repeated_head(table.rows[0])


def _repeated_head(row: Any) -> None:
    """Mark a row as the head of its table: repeated on each page, named to a screen reader."""
    from docx.oxml import OxmlElement  # noqa: PLC0415 - an extra
    from docx.oxml.ns import qn  # noqa: PLC0415 - an extra

    mark = OxmlElement("w:tblHeader")
    mark.set(qn("w:val"), "true")
    row._tr.get_or_add_trPr().append(mark)  # noqa: SLF001 - the library has no public way
    for cell in row.cells:
        for paragraph in cell.paragraphs:
            for run in paragraph.runs:
                run.bold = True
