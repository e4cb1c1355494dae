"""Pages on terminals and pipes of all kinds."""

import re

from optioneer.reports.advice.pages import advice_page
from optioneer.reports.faces.terminal import in_encoding, terminal_text
from optioneer.reports.page.money import Figures
from optioneer.reports.page.parts import Paragraph, Table
from optioneer.reports.page.printable import printable
from tests import shop

DOLLARS = Figures("USD")
ESCAPE = re.compile(r"\x1b\[[0-9;]*m")


def test_plain_text_holds_no_escape_codes() -> None:
    assert "\x1b" not in terminal_text(advice_page(shop.case(), shop.advice(), DOLLARS))


def test_styles_say_nothing_that_the_plain_text_does_not() -> None:
    page = advice_page(shop.case(), shop.advice(), DOLLARS)
    styled = terminal_text(page, styled=True)
    assert "\x1b" in styled
    bare = [line.rstrip() for line in ESCAPE.sub("", styled).splitlines()]
    assert bare == terminal_text(page).splitlines()


def test_text_from_the_case_cannot_steer_the_terminal() -> None:
    hostile = "Probe\x1b[2J\u202e[bold]x[/bold]:smile:"
    assert terminal_text((Paragraph(hostile),)).strip() == "Probe[2J[bold]x[/bold]:smile:"
    assert printable("a\x07b\nc") == "ab\nc"


def test_figures_are_never_cut_however_many_packages_there_are() -> None:
    cells = tuple(f"${place}23,456,789" for place in range(1, 10))
    heads = ("", *(f"A quote with a long name {place}" for place in range(1, 10)))
    table = Table("Packages", heads, (("Price", *cells),))
    text = terminal_text((table,), width=60)
    assert [cell for cell in cells if text.count(cell) != 1] == []
    assert max(map(len, text.splitlines())) <= 60


def test_figures_beside_text_are_never_cut_either() -> None:
    days = tuple(f"2027-01-1{place}" for place in range(6))
    table = Table(
        "Bookings", ("trade", *"abcde", "wanted on"), (("rigger", *days),), text_last=True
    )
    for width in (60, 80):
        text = terminal_text((table,), width=width)
        assert [day for day in days if text.count(day) != 1] == []
        assert max(map(len, text.splitlines())) <= width


def test_an_encoding_without_the_signs_gets_stand_ins() -> None:
    assert in_encoding("€5 ± 1\u00a0─ ü", "ascii") == "?5 +- 1 - ?"
    assert in_encoding("± ü", "latin-1") == "± ü"
