"""What the shop has in the end, over the futures."""

from pydantic import Field

from optioneer.arrays import Floats
from optioneer.study.answer import Answer
from optioneer.valuation.figures.summary import gains

CENT = 0.01
"""Smaller differences are rounding [money]."""


class Outcome(Answer):
    """What the shop has in the end: margin earned less all that is paid, discounted [money]."""

    mean: float
    p10: float = Field(description="One future in ten stays below.")
    p50: float = Field(description="Half of the futures stay below.")
    p90: float = Field(description="One future in ten exceeds it.")
    worst_tenth: float = Field(description="Mean of the lowest tenth of futures.")
    not_buying: float = Field(description="Mean outcome of buying no machine at all.")
    worse_than_not_buying: float = Field(
        description="Share of futures in which buying leaves less than not buying."
    )


def outcome_answer(outcome: Floats, not_buying: Floats) -> Outcome:
    """How an outcome is spread over the futures, and against not buying.

    Parameters
    ----------
    outcome, not_buying
        In each future, shape (N,) [money].
    """
    gain = gains(outcome)
    return Outcome(
        mean=gain.mean,
        p10=gain.p10,
        p50=gain.p50,
        p90=gain.p90,
        worst_tenth=gain.worst_tenth,
        not_buying=float(not_buying.mean()),
        worse_than_not_buying=float((outcome < not_buying - CENT / 2).mean()),
    )
