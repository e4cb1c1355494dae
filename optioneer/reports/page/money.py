"""Figures as text: money in one currency, shares, counts and years in one locale."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from functools import cached_property

from babel.core import Locale, UnknownLocaleError
from babel.numbers import format_currency, format_decimal, format_percent

from optioneer.money.cents import amount_of, places

DEFAULT_LOCALE = "en_US"
"""Used where the environment names no locale."""

SIGNIFICANT = 3
"""Digits kept in amounts that are introduced by 'about'."""


@dataclass(frozen=True)
class Figures:
    """How figures are said.

    Rounding: sums and averages to whole units of the currency, halves away from zero; quoted
    prices to the cent unless they are whole; shares to whole percents, never to a false 0 or 100.

    Parameters
    ----------
    currency
        ISO 4217 code.
    locale
        Identifier such as ``en_US`` or ``de_DE``: grouping, decimal mark, place of the symbol.
    """

    currency: str
    locale: str = DEFAULT_LOCALE

    def amount(self, value: float) -> str:
        """Money in whole units, e.g. ``$41,237``."""
        return self._money(_whole(value), self._whole_pattern)

    def about(self, value: float) -> str:
        """Money to three significant digits, for sentences that say 'about'."""
        exact = Decimal(str(value))
        if exact == 0:
            return self.amount(0.0)
        return self.amount(float(round(exact, SIGNIFICANT - 1 - exact.adjusted())))

    def spread(self, value: float, error: float) -> str:
        """An average and its standard error in whole units, e.g. ``$41,237 ± 912``."""
        return f"{self.amount(value)} ± {format_decimal(_whole(error), locale=self.locale)}"

    def quoted(self, price: float | Decimal) -> str:
        """A price as quoted: cents are shown when there are any."""
        exact = Decimal(str(price)).quantize(self._cent)  # sums of floats are off in the last digit
        if exact == exact.to_integral_value():
            return self._money(exact, self._whole_pattern)
        return format_currency(exact, self.currency, locale=self.locale)

    def cash(self, cents: int) -> str:
        """So many cents as a price is quoted."""
        return self.quoted(self.worth(cents))

    def worth(self, cents: int) -> float:
        """So many cents as an amount."""
        return amount_of(cents, self.currency)

    def share(self, share: float) -> str:
        """A share in whole percents; what is neither nothing nor all is never shown as such."""
        least, most = 0.005, 0.995
        if 0 < share < least:
            return f"under {format_percent(0.01, locale=self.locale)}"
        if most < share < 1:
            return f"over {format_percent(0.99, locale=self.locale)}"
        return format_percent(share, locale=self.locale)

    def fine_share(self, share: float) -> str:
        """A small share in hundredths of a percent, e.g. ``0.16%``."""
        pattern = Locale.parse(self.locale).percent_formats[None].pattern
        fine = pattern.replace("##0", "##0.0#")
        return format_percent(share, format=fine, locale=self.locale)

    def number(self, value: float, digits: int = 1) -> str:
        """A plain number with at most `digits` decimals, e.g. a count or years."""
        return format_decimal(round(value, digits), locale=self.locale)

    @cached_property
    def _cent(self) -> Decimal:
        return Decimal(1).scaleb(-places(self.currency))

    @cached_property
    def _whole_pattern(self) -> str:
        pattern = Locale.parse(self.locale).currency_formats["standard"].pattern
        return re.sub(r"\.[0#]+", "", pattern)

    def _money(self, value: Decimal, pattern: str) -> str:
        return format_currency(
            value, self.currency, format=pattern, locale=self.locale, currency_digits=False
        )


def _whole(value: float) -> Decimal:
    # adding zero turns the minus zero of a small negative amount into zero
    return Decimal(str(value)).quantize(Decimal(1), rounding=ROUND_HALF_UP) + 0


def locale_of(environment: Mapping[str, str]) -> str:
    """The locale that the environment asks for money, ``en_US`` where it names none we know."""
    asked = next(
        (environment[key] for key in ("LC_ALL", "LC_MONETARY", "LANG") if environment.get(key)), ""
    )
    name = asked.partition(".")[0].partition("@")[0]
    if name in {"", "C", "POSIX"}:
        return DEFAULT_LOCALE
    try:
        return str(Locale.parse(name))
    except (ValueError, UnknownLocaleError):
        return DEFAULT_LOCALE
