"""How answers become figures: one table, with where each rule comes from."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.fact import Triangular
from optioneer.model.growth import Stream
from optioneer.study.asking.three_point_estimates import (
    chance_of_counts,
    standard_limits,
    triangle_of_limits,
)
from optioneer.study.worth.figures import Figure, What, owner_of, remade, with_figure

Who = str
"""Who can answer: the owner, a customer, the dealer, the electrician, the bank."""


@dataclass(frozen=True)
class Rule:
    """How one kind of figure is asked for.

    Parameters
    ----------
    who
        Who can answer.
    form
        What an answer looks like, for people.
    source
        Where the rule comes from.
    made
        The case with the answer, from the case, the figure and the answer's text.
    """

    who: Who
    form: str
    source: str
    made: Callable[[Case, Figure, str], Case]


STANDINGS: Mapping[str, tuple[float, float, float]] = {
    "have": (0.97, 1.0, 1.0),
    "promised": (0.7, 0.9, 0.97),
    "quoted": (0.15, 0.35, 0.6),
    "talked": (0.05, 0.15, 0.35),
    "dreamt": (0.01, 0.05, 0.15),
}
"""What work is worth that one has, that is promised, quoted, talked about or dreamt of: lowest,
likeliest, highest chance. Common practice, no source; counts of one's own quotes are better."""


def case_after(case: Case, figure: Figure, answer: str) -> Case:
    """`case` with a figure as somebody answers.

    Parameters
    ----------
    figure
        Which figure.
    answer
        As the figure's rule in `RULES` says.

    Raises
    ------
    RequestError
        The answer is not understood, or the figure cannot be so.
    """
    return RULES[figure.what].made(case, figure, answer.strip())


def _chance(case: Case, figure: Figure, text: str) -> Case:
    word = text.lower()
    if word in STANDINGS:
        low, likely, high = STANDINGS[word]
        return _with_stream(case, figure, {"chance": _shares(low, likely, high)})
    if "/" in text:
        came, _, of = text.partition("/")
        return _with_stream(case, figure, {"chance": chance_of_counts(_whole(came), _whole(of))})
    told = [round(0.01 * one, 12) for one in _numbers(text, (1, 3))]
    if len(told) == 1:
        return with_figure(case, Figure(figure.what, figure.name, known=True), told[0])
    return _with_stream(case, figure, {"chance": _shares(*told)})


def _shares(low: float, likely: float, high: float) -> Triangular | float:
    if low == high:
        return likely
    return Triangular(low=low, likely=likely, high=high)


def _of_stream(key: str) -> Callable[[Case, Figure, str], Case]:
    """Three figures of a stream, from limits passed one time in ten."""

    def made(case: Case, figure: Figure, text: str) -> Case:
        return _with_stream(case, figure, {key: _three(text)})

    return made


def _margin(case: Case, figure: Figure, text: str) -> Case:
    """What work leaves by the year, or, where the answer says so, by the month."""
    by_year, monthly = text.removesuffix(BY_MONTH), text.endswith(BY_MONTH)
    return _with_stream(case, figure, {"margin": _three(by_year, MONTHS if monthly else 1)})


def _stay(case: Case, figure: Figure, text: str) -> Case:
    del figure
    machine = remade(case.machine, kept_years=_three(text))
    return case.model_copy(update={"machine": machine})


def _three(text: str, times: int = 1) -> Triangular:
    """A triangle from a figure that is certain, from three, or three and how sure in percent.

    All but how sure are told for one of so many `times`.
    """
    numbers = _numbers(text, (1, 3, 4))
    told = [times * one for one in numbers[:3]] + numbers[3:]
    if len(told) == 1:
        return Triangular(low=told[0], likely=told[0], high=told[0])
    low, likely, high = told[:3]
    if len(told) == 4:  # noqa: PLR2004 - the fourth step
        low, high = standard_limits(low, likely, high, 0.01 * told[3])
    return triangle_of_limits(low, likely, high)


def _one(factor: float = 1.0) -> Callable[[Case, Figure, str], Case]:
    """One figure that is set as it is told, times a factor."""

    def made(case: Case, figure: Figure, text: str) -> Case:
        return with_figure(case, figure, round(factor * _numbers(text, (1,))[0], 12))

    return made


def _multiplier(case: Case, figure: Figure, text: str) -> Case:
    """A price quoted for fitting it later, as a multiple of what it lists for."""
    option = case.catalogue.by_id[figure.name]
    if option.listed_later <= 0.0:
        raise RequestError(f"{figure}: it lists for nothing, so that no price is a multiple of it.")
    price = _numbers(text, (1,))[0]
    return with_figure(case, figure, price / option.listed_later)


def _with_stream(case: Case, figure: Figure, changes: dict[str, Any]) -> Case:
    owner = owner_of(case, figure)
    if not isinstance(owner, Stream):
        raise RequestError(f"{figure} is not of a stream.")
    streams = tuple(
        remade(each, **changes) if each.id == owner.id else each for each in case.growth.stream
    )
    return case.model_copy(update={"growth": remade(case.growth, stream=streams)})


def _numbers(text: str, counts: tuple[int, ...]) -> list[float]:
    try:
        told = [float(part) for part in text.replace(";", " ").replace("%", " ").split()]
    except ValueError:
        told = []
    if len(told) not in counts or not all(abs(one) < LARGEST for one in told):
        many = " or ".join(str(count) for count in counts)
        raise RequestError(
            f"'{text}' is not understood. Write {many} number{'' if many == '1' else 's'} with "
            "digits and a point, blanks between them."
        )
    return told


BY_MONTH, MONTHS = " a month", 12
"""What stands behind a margin that is told by the month."""

LARGEST = 1e12
"""No answer is so large."""


def _whole(text: str) -> int:
    try:
        return int(text)
    except ValueError:
        raise RequestError(
            f"'{text.strip()}' is no whole number. Write e.g. 4/10: four of the last ten came."
        ) from None


_LIMITS = (
    "lowest, likeliest, highest: one time in ten it is less, one time in ten more; a fourth number "
    "says how sure you are of the two, in percent"
)
_TRIANGLE = (
    "Keefer & Bodily 1983 (limits at a tenth), Speirs-Bridge and others 2010 (four steps), "
    "Alpert & Raiffa 1982 (ranges told are too narrow); from memory"
)
_AS_TOLD = "as told"
_COUNTS = "Gigerenzer & Hoffrage 1995 (counts), rule of succession; from memory"

RULES: Mapping[What, Rule] = {
    "chance": Rule(
        "customer",
        "have, promised, quoted, talked or dreamt; or e.g. 4/10 when four of your last ten quotes "
        "of that kind came; or percent, one number or lowest, likeliest, highest",
        _COUNTS,
        _chance,
    ),
    "margin": Rule(
        "owner",
        f"by the year, or with '{BY_MONTH.strip()}' at the end; {_LIMITS}",
        _TRIANGLE,
        _margin,
    ),
    "years": Rule(
        "customer", f"years after first chips; {_LIMITS}", _TRIANGLE, _of_stream("years")
    ),
    "lasts-years": Rule("customer", f"years; {_LIMITS}", _TRIANGLE, _of_stream("lasts_years")),
    "kept-years": Rule("owner", f"years; {_LIMITS}", _TRIANGLE, _stay),
    "fallback": Rule("owner", "percent that is kept", _AS_TOLD, _one(0.01)),
    "growth": Rule("owner", "percent a year", _AS_TOLD, _one(0.01)),
    "swing": Rule("owner", "percent up or down from year to year", _AS_TOLD, _one(0.01)),
    "hours": Rule("owner", "hours a year", _AS_TOLD, _one()),
    "nudge": Rule(
        "owner",
        "0 as usual, 1 as good as one year in six is, -1 as bad as one year in six is",
        "standard normal table: 16 of 100 lie beyond one deviation",
        _one(),
    ),
    "multiplier": Rule(
        "dealer", "price of fitting it after delivery, without call-out", _AS_TOLD, _multiplier
    ),
    "price": Rule("dealer", "price with the order", _AS_TOLD, _one()),
    "later-price": Rule("dealer", "what it lists for later", _AS_TOLD, _one()),
    "downtime-days": Rule("dealer", "days that the machine stands still", _AS_TOLD, _one()),
    "attended": Rule("owner", "hours a year", _AS_TOLD, _one()),
    "beyond": Rule("owner", "money an hour", _AS_TOLD, _one()),
    "horizon": Rule("owner", "years", _AS_TOLD, _one()),
    "discount-rate": Rule("bank", "percent a year", _AS_TOLD, _one(0.01)),
}
"""By kind of figure: who answers, how, and how the answer is read."""
