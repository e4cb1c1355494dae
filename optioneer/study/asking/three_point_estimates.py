"""Three figures from what people say: limits that are passed one time in ten, and the likeliest."""

import math

from scipy.special import betaincinv

from optioneer.errors import RequestError
from optioneer.model.fact import Triangular

TAIL = 0.1
"""How often the truth lies below the lowest figure that somebody tells, and above the highest."""

SURE = 1.0 - 2.0 * TAIL
"""How often it lies between the two."""

STEPS = 200
"""Steps of the fixed point; each leaves less than half of what is missing."""


def triangle_of_limits(low: float, likely: float, high: float) -> Triangular:
    """The triangle whose tenth and ninetieth percent are `low` and `high`; 0 is its least end.

    Parameters
    ----------
    low, likely, high
        As told; one time in ten it is less than `low`, one time in ten more than `high`.

    Raises
    ------
    RequestError
        If they do not rise.

    Notes
    -----
    With p and q the ways from the likeliest to the ends, ``(low - a)^2 = t (p + q) p`` and
    ``(b - high)^2 = t (p + q) q``, so that ``p = (likely - low) + sqrt(t (p + q) p)`` and
    ``q = (high - likely) + sqrt(t (p + q) q)``, t a tenth: a fixed point. In a symmetric triangle
    ``p = (likely - low) / (1 - sqrt(2 t))``.

    People who tell a lowest and a highest leave out more than they think: they are taken for limits
    passed one time in ten, and the triangle reaches further.

    References
    ----------
    Keefer & Bodily, Management Science 29 (1983) 595-609 (limits at a tenth rather than ends; from
    memory). Alpert & Raiffa in Kahneman, Slovic & Tversky, *Judgment under Uncertainty*, Cambridge
    1982 (ranges told are too narrow; from memory).
    """
    if not low <= likely <= high:
        raise RequestError(
            f"{low:g}, {likely:g}, {high:g} do not rise. Write the lowest, the likeliest and the "
            "highest, in this order."
        )
    below, above = likely - low, high - likely
    p, q = below, above
    for _ in range(STEPS):
        width = p + q
        p, q = below + math.sqrt(TAIL * width * p), above + math.sqrt(TAIL * width * q)
    return Triangular(low=max(likely - p, 0.0), likely=likely, high=likely + q)


def standard_limits(low: float, likely: float, high: float, sure: float) -> tuple[float, float]:
    """Limits passed one time in ten, from limits of which somebody is `sure` to another degree.

    The last of four steps: lowest, highest, likeliest, and how sure that the truth lies between.

    Parameters
    ----------
    low, likely, high
        As told.
    sure
        Share, above 0 and below 1.

    Raises
    ------
    RequestError
        If `sure` is no such share.

    References
    ----------
    Speirs-Bridge and others, Risk Analysis 30 (2010) 512-523 (four steps, put on one scale in
    proportion; from memory).
    """
    if not 0.0 < sure < 1.0:
        raise RequestError(f"{100 * sure:g} % is not sure or unsure. Write 1 to 99 percent.")
    wider = SURE / sure
    return max(likely - wider * (likely - low), 0.0), likely + wider * (high - likely)


def chance_of_counts(came: int, of: int) -> Triangular:
    """The chance of one more of its kind, when so many of some earlier ones came.

    Parameters
    ----------
    came, of
        Whole numbers, ``0 <= came <= of``, `of` at least 1.

    Raises
    ------
    RequestError
        If they are no such numbers.

    Notes
    -----
    With all chances alike before, what is believed after is beta(came + 1, of - came + 1): mean
    ``(came + 1) / (of + 2)``, the rule of succession. Its tenth and ninetieth percent are the
    limits, its mean the likeliest.

    References
    ----------
    Laplace's rule of succession (standard, from memory). Gigerenzer & Hoffrage, Psychological
    Review 102 (1995) 684-704 (people judge counts better than percentages; from memory).
    """
    if not 0 <= came <= of or of < 1:
        raise RequestError(f"{came} of {of} is no count. Write e.g. 4/10: four of ten came.")
    first, second = came + 1, of - came + 1
    low, high = (float(betaincinv(first, second, share)) for share in (TAIL, 1.0 - TAIL))
    told = triangle_of_limits(low, min(max(first / (of + 2), low), high), high)
    return Triangular(low=told.low, likely=told.likely, high=min(told.high, 1.0))
