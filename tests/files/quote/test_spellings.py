"""Every way to write a price: read right, in doubt, or not at all."""

import pytest

from optioneer.files.quote.amounts import readings_left, readings_of

SPELLINGS = {
    "1234": (1234,),
    "1234.50": (1234.5,),
    "1234,50": (1234.5,),
    "1,234.50": (1234.5,),
    "1.234,50": (1234.5,),
    "1 234,50": (1234.5,),
    "1\u00a0234,50": (1234.5,),
    "1\u202f234,50": (1234.5,),
    "1'234.50": (1234.5,),
    "1\u2019234.50": (1234.5,),
    "1.234.567,00": (1234567,),
    "1,234,567": (1234567,),
    "4.200": (4200, 4.2),
    "4,200": (4200, 4.2),
    "0.500": (0.5,),
    "12,5": (12.5,),
    "4.200,-": (4200,),
    "4'200.\u2013": (4200,),
    "(350.00)": (-350,),
    "350.00-": (-350,),
    "-1.200,00": (-1200,),
    "USD 4,800.00": (4800,),
    "4 800 kr": (4800,),
    "\uff11\uff12": (12,),
    "12.34.56": (),
    "1,23.4,5": (),
    "1e5": (),
    "NaN": (),
    "inf": (),
    "1_000": (),
    "abc": (),
    "": (),
}


@pytest.mark.parametrize("text", SPELLINGS)
def test_a_price_is_read_right_in_doubt_or_not_at_all(text: str) -> None:
    assert readings_of(text).readings == SPELLINGS[text]


@pytest.mark.parametrize("text", [text for text in SPELLINGS if len(SPELLINGS[text]) > 1])
def test_a_price_in_doubt_stays_so_without_a_mark_to_settle_it(text: str) -> None:
    assert len(readings_left(text, "")) > 1
