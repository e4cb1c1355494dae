"""Break-evens: what would have to be different for a verdict to turn."""

import math
from collections.abc import Callable, Iterator, Sequence
from functools import partial

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.model.catalogue import Option
from optioneer.model.checks.reliance import streams_relying_on
from optioneer.study.advice.answers import Advice, OptionAnswer
from optioneer.study.problem.cores import by_size
from optioneer.study.problem.effort import Clock, Progress
from optioneer.study.worth.changes import Scaled, ScaledChances, ScaledMultiplier
from optioneer.study.worth.repricing import ChangedCosts, OutOfTimeError
from optioneer.study.worth.told_costs import ToldCosts, valued_as_told
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.choice.turning import TurnSearch, nearest_turn
from optioneer.valuation.timing.policy import Mapper

LEAST_FACTOR, MOST_FACTOR = 0.2, 20.0
"""How much smaller and larger retrofit multipliers are tried."""

STEPS = 16
"""Steps in which the range of chances is looked through."""

GRID = 8.0
"""Places for whose figures policies are learned near a turn, so many times as far from each other
as the turn may be off: what is followed a little beside them costs the same (envelope theorem)."""

ROUGH_GRID = 64.0
"""The same where a turn is only looked for, on fewer futures."""

CHANCE_CLOSE, MULTIPLIER_CLOSE = 0.002, 0.004
"""How near to the turn: part of the range of chances; part of the multiplier."""


def with_break_evens(
    found: Valued,
    advice: Advice,
    *,
    clock: Clock | None = None,
    progress: Progress | None = None,
    far: Mapper | None = None,
) -> Advice:
    """`advice` with the break-evens of every option, as far as the time goes.

    Parameters
    ----------
    found
        The valued case that `advice` is on.
    clock
        Says when to stop; none: when all are found. The closest calls come first, and what there
        was no time for is named.
    far
        Workers that look for them, an option each; none: this process.

    Notes
    -----
    The choice in question is between ordering an option now and not, everything else chosen as
    well as possible. Each changed case is valued on the same futures with a policy learned for
    it or, near a turn, for one next to it (envelope theorem), but only the cluster of the option,
    and near the turn only the packages that may be the best there and what these can be retrofitted
    to: the others stay as they are. Under a budget what the others cost at each price is kept, too,
    although a stream that drivers tie to theirs tells a little of them; break-evens are then exact
    to some percent only.
    """
    answers, left = {answer.option: answer for answer in advice.options}, list[str]()
    order = sorted(answers.values(), key=_closeness)
    sought = _answers_here if far is None else partial(_answers_far, far)
    told = sought(found, order, advice.budget, clock or Clock(math.inf))
    for number, (answer, reached) in enumerate(zip(order, told, strict=True), 1):
        if reached is None:
            left.append(answer.option)
        else:
            answers[answer.option] = reached
        if progress is not None:
            progress(number / len(order))
    options, unsought = tuple(answers.values()), tuple(name for name in answers if name in left)
    update = {"options": options, "break_evens": True, "unsought": unsought}
    return advice.model_copy(update=update)


def _answers_here(
    found: Valued, order: Sequence[OptionAnswer], budget: float | None, clock: Clock
) -> Iterator[OptionAnswer | None]:
    """Each answer with its break-evens; none where the time was up before."""
    largest = max(cost.lattice.size for cost in found.costs) * found.case.growth.futures
    with by_size() as run:
        bench = ChangedCosts(found, budget, run(largest), clock)
        for answer in order:
            yield _in_time(bench, answer)


def _in_time(bench: ChangedCosts, answer: OptionAnswer) -> OptionAnswer | None:
    try:
        return _with_break_evens(bench, answer)
    except OutOfTimeError:
        return None


def _answers_far(
    far: Mapper, found: Valued, order: Sequence[OptionAnswer], budget: float | None, clock: Clock
) -> Iterator[OptionAnswer | None]:
    """The same by workers, which are told what the packages cost as the case is."""
    told = ToldCosts(found.case, found.problem.order_factor, found.means)
    left = ((budget, clock.left()) for _ in order)
    return iter(far(_answer_by_worker, [told] * len(order), order, left))


def _answer_by_worker(
    told: ToldCosts, answer: OptionAnswer, limits: tuple[float | None, float]
) -> OptionAnswer | None:
    budget, seconds = limits
    return _in_time(ChangedCosts(valued_as_told(told), budget, map, Clock(seconds)), answer)


def _closeness(answer: OptionAnswer) -> float:
    """How much the other choice costs; what has none needs no time."""
    return -math.inf if answer.otherwise is None else abs(answer.otherwise)


def _with_break_evens(bench: ChangedCosts, answer: OptionAnswer) -> OptionAnswer:
    if answer.otherwise is None:
        return answer
    option = bench.found.case.catalogue.by_id[answer.option]
    return answer.model_copy(
        update={
            "break_even_chance": _chance(bench, option),
            "break_even_multiplier": _multiplier(bench, option),
        }
    )


def _chance(bench: ChangedCosts, option: Option) -> float | None:
    """Chance of the likeliest stream that relies on `option` at which its verdict turns."""
    streams = streams_relying_on(bench.found.case, option.option)
    largest = max((stream.likely_chance for stream in streams), default=0.0)
    if largest == 0.0:
        return None
    most = 1.0 / largest
    search = TurnSearch(here=1.0, low=0.0, high=most, steps=STEPS, close=CHANCE_CLOSE * most)
    names = tuple(stream.id for stream in streams)
    turn = _turn(bench, option, search, lambda factor: ScaledChances(names, factor))
    return None if turn is None else min(turn * largest, 1.0)


def _multiplier(bench: ChangedCosts, option: Option) -> float | None:
    """Likeliest retrofit multiplier of `option` at which its verdict turns.

    Dearer retrofits make only packages without the option dearer, so there is one turn at most.
    """
    if not option.retrofittable or option.multiplier is None:
        return None
    low, high = math.log(LEAST_FACTOR), math.log(MOST_FACTOR)
    low, high = (low, 0.0) if bench.ordering_pays(option.option) else (0.0, high)
    search = TurnSearch(here=0.0, low=low, high=high, steps=1, close=MULTIPLIER_CLOSE)
    turn = _turn(bench, option, search, lambda x: ScaledMultiplier(option.option, math.exp(x)))
    return None if turn is None else math.exp(turn) * option.multiplier.likely


def _turn(
    bench: ChangedCosts, option: Option, search: TurnSearch, change: Callable[[float], Scaled]
) -> float | None:
    index = bench.found.problem.options.index(option.option)
    cluster = bench.found.cluster_of(index)
    able = np.isfinite(bench.here(cluster))
    holding = bench.found.costs[cluster].lattice.holding(index)[able]

    def exact(x: float, among: Bools) -> Floats:
        if x == search.here:
            return bench.here(cluster)[able]
        changes, states = (change(x), change(search.gridded(x, GRID))), np.flatnonzero(able)[among]
        means = (
            bench.means(cluster, changes[0])
            if among.all()
            else bench.means_near(cluster, changes, tuple(map(int, states)))
        )
        return (means + bench.elsewhere[cluster])[able]

    def rough(x: float) -> Floats:
        places = x, search.gridded(x, ROUGH_GRID)
        made, learned = (None if place == search.here else change(place) for place in places)
        means = bench.rough.means_near(cluster, (made, learned), ())
        return (means + bench.elsewhere[cluster])[able]

    return nearest_turn(exact, None if bench.few else rough, search, holding)
