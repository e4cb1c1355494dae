"""Tax depreciation: which share of a basis is deducted in which tax year."""

from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from optioneer.money.cents import split

Shares = tuple[float, ...]

MID_QUARTER_ABOVE = 0.40
"""Share of a year's basis in the last quarter above which every quarter counts by itself."""

MACRS_YEARS = (3, 5, 7, 10, 15, 20)
_MID_QUARTER_FIRST = {1: "0.875", 2: "0.625", 3: "0.375", 4: "0.125"}
_SLOW_CLASSES = {15, 20}
# Cells that are printed otherwise than the rule behind the tables: (period, quarter, year).
_PRINTED = {(7, 2, 1): "17.85", (20, 1, 2): "7.000"}


def straight_line(years: int, first: float = 1.0) -> Shares:
    """Equal shares over `years`; the first year bears `first` of one, the rest follows after it.

    Examples
    --------
    >>> straight_line(4, 0.5)
    (0.125, 0.25, 0.25, 0.25, 0.125)
    """
    whole = [first / years, *[1.0 / years] * (years - 1)]
    return _complete(whole)


def declining_balance(years: int, factor: float = 2.0, first: float = 1.0) -> Shares:
    """Shares of a declining balance that switches to straight-line when that deducts more.

    Parameters
    ----------
    years
        Life.
    factor
        Declining rate as a multiple of the straight-line rate: 2 is double-declining.
    first
        Part of a year that the first year bears.

    Notes
    -----
    A year deducts at most all that is left: a rate above 1 is 1.
    """
    rate = min(factor / years, 1.0)
    shares, left = [rate * first], 1.0 - rate * first
    for year in range(1, years):
        share = left * max(rate, 1.0 / (years - first - year + 1))
        shares.append(share)
        left -= share
    return _complete(shares)


def _complete(shares: Sequence[float]) -> Shares:
    """`shares` and, if they do not yet add up to 1, one more year with the rest."""
    rest = 1.0 - sum(shares)
    return (*shares, rest) if rest > 1e-12 else (*shares[:-1], shares[-1] + rest)  # noqa: PLR2004 - rounding of floats


def macrs(years: int, quarter: int | None = None) -> Shares:
    """Shares of the percentage tables of the US General Depreciation System.

    Parameters
    ----------
    years
        Recovery period, one of `MACRS_YEARS`.
    quarter
        Quarter of the tax year, 1 to 4, in which it is placed in service, under the mid-quarter
        convention; none: half-year convention.

    Notes
    -----
    Declining balance at 200 % (150 % for 15 and 20 years) with a switch to straight line, each
    year rounded to the printed digits and the rounded figure carried on; the last year takes the
    rest. Two cells are printed otherwise than that rule and are kept as printed, so that the
    last years of their tables differ too.

    References
    ----------
    IRS Publication 946 (2025), Appendix A, tables A-1 to A-5.
    """
    first = Decimal(_MID_QUARTER_FIRST[quarter] if quarter else "0.5")
    digit = Decimal("0.001") if years == MACRS_YEARS[-1] else Decimal("0.01")
    rate = Decimal("1.5" if years in _SLOW_CLASSES else "2") / years
    left, shares = Decimal(100), list[Decimal]()
    for year in range(1, years + 1):
        part = rate * first if year == 1 else max(rate, 1 / (years - first - year + 2))
        ruled = (left * part).quantize(digit, rounding=ROUND_HALF_UP)
        left -= ruled
        shares.append(Decimal(_PRINTED.get((years, quarter or 0, year), ruled)))
    return tuple(float(share / 100) for share in (*shares, 100 - sum(shares)))


def mid_quarter_applies(last_quarter: float, whole_year: float) -> bool:
    """Whether the mid-quarter convention applies to a year's property.

    Parameters
    ----------
    last_quarter, whole_year
        Basis placed in service in the last three months of the tax year, and in all of it.

    References
    ----------
    IRS Publication 946, "Which convention applies?": more than 40 % in the last quarter.
    """
    return last_quarter > MID_QUARTER_ABOVE * whole_year


def expensing_limit(limit: float, threshold: float, placed: float) -> float:
    """Most that may be expensed in the first year: cut one for one above the threshold, to 0.

    References
    ----------
    26 U.S.C. 179(b)(2).
    """
    return max(0.0, limit - max(0.0, placed - threshold))


def depreciation(basis: int, shares: Sequence[float], first_year: int = 0) -> tuple[int, ...]:
    """Deduction of each tax year, in cents, adding up to `basis`.

    Parameters
    ----------
    basis
        What is written off [cents].
    shares
        Of each year, for what the first-year amount leaves.
    first_year
        Deducted at once in the first year [cents].
    """
    first, *rest = split(basis - first_year, shares)
    return (first + first_year, *rest)
