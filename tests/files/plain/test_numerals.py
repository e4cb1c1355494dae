"""Numbers in cells: one reading or a refusal, never off by a factor of ten or a thousand."""

import re

import pytest
from babel.numbers import NumberFormatError, parse_decimal
from hypothesis import given
from hypothesis import strategies as st

from optioneer.errors import Fault
from optioneer.files.plain.numerals import number, numeral

LOCALES = ("en_US", "de_DE", "fr_FR", "de_CH", "en_IN", "es_ES")

PLAIN = [("0", 0.0), ("007", 7.0), ("1234", 1234.0), ("1234.5", 1234.5), ("-0.25", -0.25)]
PLAIN += [("+3", 3.0), ("0.125", 0.125), ("1234.567", 1234.567), ("4.2", 4.2), (" 5 ", 5.0)]


@pytest.mark.parametrize(("text", "value"), PLAIN)
@pytest.mark.parametrize("comma", [False, True])
def test_plain_numbers_are_read_in_every_file(text: str, value: float, *, comma: bool) -> None:
    assert number(text, "cell", comma=comma, money=True) == value


@pytest.mark.parametrize(("text", "value"), [("4200,5", 4200.5), ("0,25", 0.25), ("-1,5", -1.5)])
def test_a_decimal_comma_is_read_where_commas_do_not_separate_cells(
    text: str, value: float
) -> None:
    assert number(text, "cell", comma=True) == value
    assert isinstance(number(text, "cell"), Fault)


def test_three_decimals_are_read_where_nothing_groups_by_thousands() -> None:
    assert number("2.125", "multiplier") == 2.125
    assert isinstance(number("2.125", "multiplier", comma=True), Fault)
    assert isinstance(number("2.125", "price", money=True), Fault)


GROUPED = ["1,234.50", "1.234,50", "1'234.50", "1 234,50", "1\N{NO-BREAK SPACE}234", "1_234"]
FOREIGN = ["", "-", "nan", "NaN", "inf", "Infinity", "1e500", "1E+3", "0x10", "12%", "$5", "5 €"]
FOREIGN += ["EUR 5", "5USD", "five", "1.2.3", "1,2,3", "--1", "٣", "5.", ".5", "1 000 000", "½"]


@pytest.mark.parametrize("text", GROUPED + FOREIGN)
@pytest.mark.parametrize("comma", [False, True])
def test_what_is_no_plain_number_is_refused(text: str, *, comma: bool) -> None:
    assert isinstance(number(text, "cell", comma=comma), Fault)


@given(st.from_regex(re.compile(r"[+-]?[0-9]{1,7}([.,'][0-9]{1,4}){0,3}"), fullmatch=True))
def test_what_is_read_no_locale_reads_as_something_else(text: str) -> None:
    """Outside: Babel's strict parsing with the number formats of the Unicode CLDR."""
    for comma, money in ((True, False), (True, True), (False, True)):
        found = number(text, "cell", comma=comma, money=money)
        if not isinstance(found, Fault):
            assert readings(text) <= {found}


def readings(text: str) -> set[float]:
    """What a strict reader makes of a number in each locale where it is one."""
    found = set()
    for locale in LOCALES:
        try:
            found.add(float(parse_decimal(text, locale=locale, strict=True)))
        except NumberFormatError:
            continue
    return found


@given(st.floats(allow_nan=False, allow_infinity=False), st.sampled_from(".,"))
def test_a_number_as_written_is_read_back_exactly(value: float, mark: str) -> None:
    assert number(numeral(value, mark), "cell", comma=mark == ",", money=True) == value
    assert number(numeral(value), "cell", comma=True, money=True) == value


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_of_a_case_is_not_written(value: float) -> None:
    with pytest.raises(ValueError, match="no number of a case"):
        numeral(value)
