"""`optioneer report`, `request` and `calendar`: papers that travel."""

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

import optioneer
from optioneer.cli import shell
from optioneer.cli.progress import progress_bar, weighing
from optioneer.errors import RequestError

if TYPE_CHECKING:
    from optioneer.model.case import Case
    from optioneer.reports.page.money import Figures
    from optioneer.reports.page.parts import Page, Picture
    from optioneer.study.papers.dossier import Dossier

PAPERS = "pip install 'optioneer[charts,papers]'"


ReportFile = Annotated[
    Path, typer.Option("--out", metavar="FILE", help="Where to write it: .html or .pdf.")
]


@shell.app.command("report")
def report(
    case: shell.CasePath,
    out: ReportFile,
    futures: shell.FuturesCount = None,
    seed: shell.Seed = None,
    budget: shell.Budget = None,
    break_even: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--break-even", help="Also say at which chance each verdict turns (slow)."),
    ] = False,
    plan: shell.PlanId = None,
    with_bargain: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--with-bargain", help="Also append the negotiation sheet (slow)."),
    ] = False,
) -> None:
    """Write the decision on two sheets, with an appendix that proves it."""
    from optioneer.reports.papers.report import foot
    from optioneer.reports.papers.report import report as report_page
    from optioneer.study.advice.request import AdviceRequest
    from optioneer.study.papers.dossier import dossier

    kind = kind_of(out, ("html", "pdf"))
    if with_bargain and budget is not None:
        raise RequestError(
            "--with-bargain tells prices without a budget. Leave --budget away, or the sheet."
        )
    request = AdviceRequest(
        shell.case_in(case),
        futures=futures,
        seed=seed,
        plan=plan,
        budget=budget,
        break_even=break_even,
        prove=True,
    )
    with progress_bar(weighing(request.counted)) as progress:
        told = dossier(request, bargain=with_bargain, progress=progress)
    figures, version = shell.figures(told.advice.currency), optioneer.__version__
    page = report_page(
        told, figures, pictures=pictures(told, figures), version=version, record=record_words(case)
    )
    write_paper(out, kind, page, figures=figures, foot=foot(told, version))


@shell.app.command("request")
def request(
    case: shell.CasePath,
    out: Annotated[
        Path, typer.Option("--out", metavar="FILE", help="Where to write it: .docx, .pdf or .txt.")
    ],
    package: shell.PackageName = None,
    without: shell.Without = "",
    own_figures: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option(
            "--own-figures", help="Also tell the dealer what you reckon retrofits will cost."
        ),
    ] = False,
    before_advice: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option(
            "--before-advice", help="Ask what the list does not tell of any option; weigh nothing."
        ),
    ] = False,
) -> None:
    """Write the request for quotation to the dealer, with the questions the advice raises."""
    from optioneer.reports.papers.request import request_page
    from optioneer.study.advice.package_choice import ADVISED, asked_by_name, weighed_package
    from optioneer.study.advice.verdicts import advice_on
    from optioneer.study.dealer.questions import questions

    kind = kind_of(out, ("docx", "pdf", "txt"))
    read = shell.case_in(case)
    if before_advice:
        if package is not None or without or own_figures:
            raise RequestError(
                "--before-advice asks of every option what the list does not tell. Leave --package,"
                " --without and --own-figures away."
            )
        _write_first_request(read, out, kind)
        return
    ordered, advice = asked_by_name(read, package, shell.ids(without)), None
    if ordered is None:
        with progress_bar(weighing(read)) as progress:
            ordered, found = weighed_package(read, package, progress=progress)
        advice = advice_on(found) if ordered.id == ADVISED else None
    asked = questions(read, ordered, advice=advice)
    figures = shell.figures(read.machine.currency)
    page = request_page(read, ordered, asked, figures, own_figures=own_figures)
    write_paper(out, kind, page, figures=figures)


def _write_first_request(case: "Case", out: Path, kind: str) -> None:
    """The request of the first day."""
    from optioneer.reports.papers.request import first_request_page
    from optioneer.study.dealer.first_questions import first_questions

    figures = shell.figures(case.machine.currency)
    page = first_request_page(case, first_questions(case), figures)
    write_paper(out, kind, page, figures=figures)


@shell.app.command("calendar")
def calendar(
    case: shell.CasePath,
    out: Annotated[Path, typer.Option("--out", metavar="FILE", help="Where to write it: .ics.")],
    package: shell.PackageName = None,
    without: shell.Without = "",
    plan: Annotated[
        str | None,
        typer.Option(
            "--plan", metavar="ID", help="Way of paying; default: `use`, or the cheapest."
        ),
    ] = None,
    other_case: Annotated[  # noqa: FBT002 - the signature is typer's
        bool,
        typer.Option("--other-case", help="FILE may hold another case, whose days are struck."),
    ] = False,
) -> None:
    """Write payments, bookings, arrivals and first chips as a calendar; again to update it."""
    from datetime import UTC, datetime

    from optioneer.files.plain.source import file_bytes
    from optioneer.reports.asking.acting import reminders
    from optioneer.reports.faces.calendar import calendar_file
    from optioneer.study.papers.diary import due_days, reminder
    from optioneer.study.papers.dossier import ordered_and_waiting

    kind_of(out, ("ics",))
    before = file_bytes(out) if out.exists() else None
    read = shell.case_in(case)
    with progress_bar(weighing(read)) as progress:
        asked = (package, shell.ids(without))
        ordered, waits = ordered_and_waiting(read, *asked, progress=progress)
    figures, now = shell.figures(read.machine.currency), datetime.now(tz=UTC).replace(microsecond=0)
    told = () if waits is None else tuple(reminders(read, waits, figures))
    found = (*due_days(read, ordered, plan=plan), *reminder(read, told))
    words = record_words(case)
    made = calendar_file(
        read.name, found, figures, now=now, before=before, other=other_case, record=words
    )
    days = f"{len(found)} days. Write it again after a change to update them."
    shell.write_file(out, made, f"Written: {out}, {days}")


def record_words(case: Path) -> str:
    """What a paper that travels says of the record of the case; '' where nothing is recorded."""
    from optioneer.files.record.entries import read_record
    from optioneer.reports.papers.history import kept_head

    try:
        return kept_head(read_record(case))
    except RequestError as error:  # the paper is about the case, and says what it met
        return f"The record of the case cannot be read. {error}"


def kind_of(file: Path, kinds: tuple[str, ...]) -> str:
    """The kind of paper that a file name asks for; refused before the work is done."""
    shell.must_be_writable(file, "--out")
    kind = file.suffix.lower().removeprefix(".")
    if kind not in kinds:
        raise RequestError(f"--out: {file} is no such paper; end it in .{', .'.join(kinds)}.")
    return kind


def write_paper(file: Path, kind: str, page: "Page", *, figures: "Figures", foot: str = "") -> None:
    """Put a page into a file of one kind, in one step."""
    shell.write_file(file, paper(page, kind, figures=figures, foot=foot), f"Written: {file}")


def paper(page: "Page", kind: str, *, figures: "Figures", foot: str = "") -> bytes:
    """A page as the bytes of one kind of paper."""
    if kind == "html":
        from optioneer.reports.faces.html import html_paper

        return html_paper(page).encode("utf-8")
    if kind == "txt":
        from optioneer.reports.faces.email import email_text

        return email_text(page).encode("utf-8")
    try:
        if kind == "docx":
            from optioneer.reports.faces.docx import docx_paper

            return docx_paper(page)
        from optioneer.reports.faces.pdf import paper_of, pdf_paper

        return pdf_paper(page, foot=foot, paper=paper_of(figures.locale))
    except ImportError as error:
        raise RequestError(f"A .{kind} needs the papers: {PAPERS}.") from error


def pictures(told: "Dossier", figures: "Figures") -> Mapping[str, "Picture"]:
    """The charts of a report, by name."""
    try:
        from optioneer.app.engine.drawings import report_pictures
    except ImportError as error:
        raise RequestError(f"A report needs the charts: {PAPERS}.") from error
    return report_pictures(told, figures)
