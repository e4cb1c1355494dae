"""Quotes in several currencies put into one."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, TypeVar

from babel.numbers import list_currencies
from pydantic import ValidationError

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.fact import Fact, Triangular, is_money

_AnyFact = TypeVar("_AnyFact", bound=Fact)


@dataclass(frozen=True)
class Exchange:
    """The currency that everything is told in, and what others are worth.

    Parameters
    ----------
    currency
        ISO 4217 code; none: that of the first case.
    rates
        What one unit of each other currency is worth in it.
    day
        The day of the rates.
    """

    currency: str | None = None
    rates: Mapping[str, float] = field(default_factory=dict, hash=False)
    day: date | None = None


def asked_exchange(
    rates: Sequence[str], *, day: str | None = None, currency: str | None = None
) -> Exchange:
    """The exchange that somebody asks for by CODE=RATE, a day and a currency.

    Raises
    ------
    RequestError
        A rate or the day is not understood, or a currency is given twice or not known.

    Examples
    --------
    >>> asked_exchange(["EUR=1.08"], day="2026-11-20").rates
    {'EUR': 1.08}
    """
    found: dict[str, float] = {}
    for text in rates:
        code, value = _rate(text)
        if code in found:
            raise RequestError(f"--rate: {code} is given twice. Give it once.")
        found[code] = value
    if currency is not None:
        currency = _code(currency, "--currency")
    return Exchange(currency, found, None if day is None else _day(day))


def _rate(text: str) -> tuple[str, float]:
    code, _, amount = text.partition("=")
    try:
        value = float(amount)
    except ValueError:
        value = math.nan
    if not 0.0 < value < math.inf:
        raise RequestError(
            f"--rate: '{text}' is not understood. Write CODE=RATE, what one unit of that currency "
            "is worth, above 0, e.g. EUR=1.08."
        )
    return _code(code, "--rate"), value


def _code(text: str, where: str) -> str:
    code = text.strip().upper()
    if code not in list_currencies():
        raise RequestError(
            f"{where}: there is no currency '{text}'. Write an ISO 4217 code such as EUR or USD."
        )
    return code


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError as error:
        raise RequestError(
            f"--rate-date: '{text}' is no day. Write YYYY-MM-DD, e.g. 2026-11-20."
        ) from error


def rates_for(
    currencies: Sequence[str], exchange: Exchange
) -> tuple[str, dict[str, float], date | None]:
    """The common currency, what one unit of each of `currencies` is worth in it, and the day.

    Parameters
    ----------
    currencies
        Those of the cases, that of the first case first.

    Raises
    ------
    RequestError
        A rate is missing, needless or other than 1 for the common currency itself, or rates come
        without their day or a day without rates.
    """
    common = exchange.currency or currencies[0]
    others = sorted({*currencies} - {common})
    missing = [code for code in others if code not in exchange.rates]
    if missing:
        raise RequestError(
            f"There is no rate for {' and '.join(missing)}. Say what one unit is worth in "
            f"{common}: {' '.join(f'--rate {code}=...' for code in missing)} --rate-date DAY."
        )
    _refuse_needless(exchange.rates, common, others)
    if bool(others) != (exchange.day is not None):
        why = "there is no rate that it could be of" if exchange.day else "is missing"
        raise RequestError(
            f"--rate-date: {why}. Rates of exchange and their day are given together."
        )
    return common, {common: 1.0, **{code: exchange.rates[code] for code in others}}, exchange.day


def _refuse_needless(rates: Mapping[str, float], common: str, others: Collection[str]) -> None:
    for code, value in rates.items():
        if code == common and value != 1.0:
            raise RequestError(
                f"--rate: {code}={value:g}, but everything is told in {common}, which is worth 1. "
                "Rates are given for the other currencies."
            )
        if code != common and code not in others:
            raise RequestError(f"--rate: no case is in {code}. Leave its rate out.")


def in_currency(case: Case, currency: str, rate: float) -> Case:
    """`case` with every amount of money in another currency.

    Parameters
    ----------
    currency
        ISO 4217 code.
    rate
        What one unit of the case's own currency is worth in it, > 0.

    Raises
    ------
    RequestError
        An amount becomes too large to be one.

    Notes
    -----
    Money is what the descriptions of the facts call ``[money ...]``.
    """
    if currency == case.machine.currency:
        return case
    try:
        made = _in_currency(case, rate)
        machine = made.machine.model_copy(update={"currency": currency})
        return made.model_copy(update={"machine": machine})
    except ValidationError as error:
        where = ".".join(str(part) for part in error.errors()[0]["loc"])
        raise RequestError(
            f"{case.name}: at {rate:g} {currency} for one {case.machine.currency}, {where} is "
            f"{error.errors()[0]['input']}, which is not allowed. Check the rate."
        ) from error


def _in_currency(fact: _AnyFact, rate: float) -> _AnyFact:
    values = {}
    for name, told in type(fact).model_fields.items():
        value = getattr(fact, name)
        changed = _times(value, rate) if is_money(told) else _inside(value, rate)
        values[told.alias or name] = changed
    return type(fact).model_validate(values)


def _times(value: Any, rate: float) -> Any:
    if isinstance(value, Triangular):
        return Triangular(low=value.low * rate, likely=value.likely * rate, high=value.high * rate)
    if isinstance(value, Mapping):
        return {key: each * rate for key, each in value.items()}
    if isinstance(value, tuple):
        return tuple(each * rate for each in value)
    return None if value is None else value * rate


def _inside(value: Any, rate: float) -> Any:
    if isinstance(value, Triangular):
        return value
    if isinstance(value, Fact):
        return _in_currency(value, rate)
    if isinstance(value, tuple):
        return tuple(_inside(each, rate) for each in value)
    return value
