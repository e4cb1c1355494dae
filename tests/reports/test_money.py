"""Figures as text."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from optioneer.reports.page.money import Figures, locale_of

DOLLARS = Figures("USD")


def test_amounts_are_whole_units_with_halves_away_from_zero() -> None:
    assert [DOLLARS.amount(value) for value in (1234.5, 1235.5, -0.4, -2.5)] == [
        "$1,235",
        "$1,236",
        "$0",
        "-$3",
    ]


def test_an_average_carries_its_standard_error() -> None:
    assert DOLLARS.spread(41_237.4, 912.4) == "$41,237 ± 912"


def test_quoted_prices_keep_their_cents() -> None:
    assert DOLLARS.quoted(4800.5) == "$4,800.50"
    assert DOLLARS.quoted(312_000.0) == "$312,000"
    assert DOLLARS.quoted(0.1 + 0.2 + 0.7 + 1e-12) == "$1"


def test_the_locale_places_symbol_and_marks() -> None:
    euros = Figures("EUR", "de_DE")
    assert euros.quoted(4200.5) == "4.200,50\u00a0€"
    assert euros.amount(4200.0) == "4.200\u00a0€"
    assert Figures("JPY").amount(45_000_000) == "¥45,000,000"


def test_shares_are_never_a_false_nothing_or_all() -> None:
    assert [DOLLARS.share(share) for share in (0.0, 0.004, 0.35, 0.997, 1.0)] == [
        "0%",
        "under 1%",
        "35%",
        "over 99%",
        "100%",
    ]


@given(st.floats(min_value=0.01, max_value=1e11))
def test_about_is_within_half_a_unit_of_the_third_digit(value: float) -> None:
    said = float(DOLLARS.about(value).replace("$", "").replace(",", ""))
    # amounts below 100 are whole units, so half a unit is the wider bound there
    assert said == pytest.approx(value, rel=0.005001, abs=0.5001)


@pytest.mark.parametrize(
    ("environment", "locale"),
    [
        ({}, "en_US"),
        ({"LANG": "C.UTF-8"}, "en_US"),
        ({"LANG": "de_CH.UTF-8"}, "de_CH"),
        ({"LANG": "de_DE", "LC_ALL": "fr_FR.UTF-8@euro"}, "fr_FR"),
        ({"LANG": "no-such"}, "en_US"),
    ],
)
def test_the_environment_names_the_locale(environment: dict[str, str], locale: str) -> None:
    assert locale_of(environment) == locale
