"""What if a figure were different: which verdicts turn, and where along a range of it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.study.advice.answers import OptionAnswer, PackageAnswer
from optioneer.study.advice.package import with_bounds
from optioneer.study.advice.verdicts import ShortAdvice, short_advice_on
from optioneer.study.answer import draws_of
from optioneer.study.problem.effort import Effort, Progress, effort_of, part_of, share_of
from optioneer.study.problem.executor import Pool, opened
from optioneer.study.problem.request import Request
from optioneer.study.whatif.answers import OptionTurns, Point, Shift, Shifts, Turn, Turning, WhatIf
from optioneer.study.worth.changes import Asked, with_changes
from optioneer.study.worth.figures import Figure, What, figure_of
from optioneer.study.worth.packages import package_holding, states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.summary import standard_error

FEWEST_STEPS, MOST_STEPS = 2, 101
"""Bounds on the values looked at along a range."""

USUAL: dict[What, tuple[float, float]] = {
    "nudge": (-2.0, 2.0),
    "chance": (0.0, 1.0),
    "fallback": (0.0, 1.0),
    "growth": (-0.05, 0.05),
    "swing": (0.0, 0.5),
    "discount-rate": (0.0, 0.2),
}
"""Ranges looked at unless others are asked for."""


@dataclass(frozen=True)
class WhatIfRequest(Request):
    """What changed figures do to the advice is asked.

    Parameters
    ----------
    budget
        Limit on the price of the package, if any [money].
    seconds
        Most that each search may take where too many options hang together [s]; none: as usual.
    """

    changes: tuple[Asked, ...] = ()
    budget: float | None = None
    seconds: float | None = None


def what_if(request: WhatIfRequest, *, progress: Progress | None = None) -> WhatIf:
    """The advice on a case before and after changes, on the same draws.

    Raises
    ------
    RequestError
        If a change cannot be made or no package can be had within the budget.
    CaseError
        If the changed case does not fit together.
    """
    before, after = _both_advised(request, progress)
    both = {"before": before.with_bounds, "after": after.with_bounds}
    return WhatIf(**dict(_shifts(request, before, after)) | both)


def shifts(request: WhatIfRequest, *, progress: Progress | None = None) -> Shifts:
    """The same without the bounds, which a page does not show and which take time.

    Raises
    ------
    RequestError, CaseError
        As for `what_if`.
    """
    return _shifts(request, *_both_advised(request, progress))


@dataclass(frozen=True)
class _Side:
    """A case valued, and the advice on it."""

    found: Valued
    advice: ShortAdvice

    @property
    def with_bounds(self) -> PackageAnswer:
        """The advised package with its bounds."""
        told = self.advice
        return with_bounds(self.found, told.package, told.advised, shift=told.shift)


def _both_advised(request: WhatIfRequest, progress: Progress | None) -> tuple[_Side, _Side]:
    """Before and after the changes."""
    case, budget = request.counted, request.budget
    changed, _ = with_changes(case, request.changes)
    each = share_of(request.seconds, 2)
    effort = effort_of(each, budget)
    old = valued_case(case, effort=effort, progress=part_of(progress, 0.0, 0.5), bounds=False)
    before = short_advice_on(old, budget=budget)
    ordered = package_holding(case, "before", before.advised.options)
    effort = effort_of(each, budget, also=(ordered,))
    rest = part_of(progress, 0.5, 1.0)
    new = valued_case(changed, effort=effort, progress=rest, bounds=False)
    return _Side(old, before), _Side(new, short_advice_on(new, budget=budget))


def _shifts(request: WhatIfRequest, before: _Side, after: _Side) -> Shifts:
    case, found, searched = request.counted, after.found, bool(after.found.searches)
    # States have the same numbers in both, unless they are those that a search has kept.
    kept = before.advice.package
    if searched or before.found.searches:
        kept = states_of(found, package_holding(case, "before", before.advice.advised.options))
    extra = found.cost(kept) - found.cost(after.advice.package)
    return Shifts(
        **draws_of(case),
        budget=request.budget,
        changes=with_changes(case, request.changes)[1],
        before=before.advice.advised,
        after=after.advice.advised,
        keeping_costs=float(extra.mean()),
        keeping_costs_se=standard_error(extra),
        searched=searched,
        options=tuple(map(_shift, before.advice.options, after.advice.options)),
    )


def _shift(before: OptionAnswer, after: OptionAnswer) -> Shift:
    return Shift(
        option=before.option,
        before=before.verdict,
        after=after.verdict,
        otherwise_before=before.otherwise,
        otherwise_after=after.otherwise,
        otherwise_se_after=after.otherwise_se,
        close_call_after=after.close_call,
    )


@dataclass(frozen=True)
class TurningRequest(Request):
    """Where along a range of one figure each verdict turns is asked.

    Parameters
    ----------
    figure
        The one that changes.
    values
        Rising.
    budget
        Limit on the price of the package, if any [money].
    seconds
        Most that the searches may take together [s]; none: as usual.
    """

    figure: Figure
    values: tuple[float, ...]
    budget: float | None = None
    seconds: float | None = None


def turning(
    request: TurningRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> Turning:
    """The advice on a case at each of some values of one figure, on the same draws.

    `pool`: who values; none: this process, one value after the other. The answer is the same.

    Raises
    ------
    RequestError, CaseError
        As for `what_if`; all values are checked before any is valued.
    """
    case, figure, values = request.counted, request.figure, request.values
    here = figure_of(case, figure)
    changed = [with_changes(case, [Asked(figure, value)])[0] for value in values]
    effort = effort_of(share_of(request.seconds, len(values)), request.budget)
    told = list[ShortAdvice]()
    with opened(pool) as far:
        if far is not None:
            for advice in far(_advice_at, changed, [effort] * len(changed)):
                told.append(advice)
                if progress is not None:
                    progress(len(told) / len(values))
        for number, each in enumerate(changed if far is None else ()):
            part = part_of(progress, number / len(values), (number + 1) / len(values))
            told.append(_advice_at(each, effort, part))
    return Turning(
        **draws_of(case),
        budget=request.budget,
        what=figure.what,
        name=figure.name,
        here=here,
        searched=any(advice.search is not None for advice in told),
        points=tuple(_point(at, advice) for at, advice in zip(values, told, strict=True)),
        options=tuple(
            _option_turns(values, answers)
            for answers in zip(*(advice.options for advice in told), strict=True)
        ),
    )


def _advice_at(case: Case, effort: Effort, progress: Progress | None = None) -> ShortAdvice:
    found = valued_case(case, effort=effort, progress=progress, bounds=False)
    return short_advice_on(found, budget=effort.budget)


def range_of(
    case: Case, figure: Figure, asked: tuple[float | None, float | None]
) -> tuple[float, float]:
    """The ends of the range of a figure: as asked, else what people would look at.

    Nudges from -2 to 2, chances and fallbacks from 0 to 1, the discount rate from 0 to 0.2, growth
    from -0.05 to 0.05, swings from 0 to 0.5, arrivals from two years earlier to two years later,
    lives and stays to the horizon at most, other figures from half to twice what they are.

    Raises
    ------
    RequestError
        If there is no such figure.
    """
    here = figure_of(case, figure)
    usual = USUAL.get(figure.what, (here / 2, here * 2))
    if figure.what == "years":
        usual = (max(here - 2.0, 0.0), here + 2.0)
    if figure.what in {"lasts-years", "kept-years"}:
        usual = (here / 2, max(here, min(here * 2, case.growth.horizon_years)))
    low, high = (end if given is None else given for given, end in zip(asked, usual, strict=True))
    return low, high


def values_between(low: float, high: float, steps: int) -> tuple[float, ...]:
    """So many values in equal steps from `low` to `high`, both included.

    Raises
    ------
    RequestError
        If they do not rise, or are too few or too many.
    """
    if not low < high:
        raise RequestError(f"--from {low:g} is not below --to {high:g}.")
    if not FEWEST_STEPS <= steps <= MOST_STEPS:
        raise RequestError(
            f"--steps {steps} is not allowed. Look at {FEWEST_STEPS} to {MOST_STEPS} values."
        )
    return tuple(round(float(value), 12) for value in np.linspace(low, high, steps))


def _point(at: float, advice: ShortAdvice) -> Point:
    best = advice.advised
    return Point(at=at, price=best.price, npc=best.npc, options=best.options)


def _option_turns(values: Sequence[float], answers: Sequence[OptionAnswer]) -> OptionTurns:
    steps = pairwise(zip(values, answers, strict=True))
    return OptionTurns(
        option=answers[0].option,
        verdicts=tuple(answer.verdict for answer in answers),
        otherwise=tuple(answer.otherwise for answer in answers),
        turns=tuple(
            Turn(
                low=low,
                high=high,
                at=_crossing((low, high), (before, after)),
                before=before.verdict,
                after=after.verdict,
            )
            for (low, before), (high, after) in steps
            if before.verdict != after.verdict
        ),
    )


def _crossing(
    between: tuple[float, float], answers: tuple[OptionAnswer, OptionAnswer]
) -> float | None:
    """Where ordering now and not ordering cost the same, if they do so in between."""
    gaps = [_ordering_costs(answer) for answer in answers]
    if gaps[0] is None or gaps[1] is None:
        return None
    if len({answer.verdict == "order now" for answer in answers}) == 1:
        return None
    total = abs(gaps[0]) + abs(gaps[1])
    share = abs(gaps[0]) / total if total else 0.5
    return between[0] + share * (between[1] - between[0])


def _ordering_costs(answer: OptionAnswer) -> float | None:
    """What ordering an option costs beyond not ordering it [money]."""
    if answer.otherwise is None:
        return None
    return -answer.otherwise if answer.verdict == "order now" else answer.otherwise
