"""When to order what waits: conditions in words, played against the policy behind the advice."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from optioneer.arrays import Floats
from optioneer.study.acting.answers import Acting, WhenToFit
from optioneer.study.acting.left import LeftOver, left_over
from optioneer.study.acting.played import Played, beyond, learning_board, played_cluster
from optioneer.study.advice.package import FreshLook, fresh_look
from optioneer.study.answer import draws_of
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Effort, Progress, part_of
from optioneer.study.problem.request import Request
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.pursed import always_paid, valued_as_paid
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.acting.board import Joint
from optioneer.valuation.acting.condition import Condition
from optioneer.valuation.figures.summary import standard_error

MOST = 0.01
"""Share of the NPC that words may cost beyond the policy behind the advice."""

FIRST = 0.8
"""Part of the work that comes before conditions are looked for."""


@dataclass(frozen=True)
class ActingRequest(Request):
    """When to order what waits is asked."""


def acting(request: ActingRequest, *, progress: Progress | None = None) -> Acting:
    """When to order what the advised package leaves for a retrofit.

    Raises
    ------
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    case = request.counted
    must_be_swept(case, "When to order what waits")
    told = part_of(progress, 0.0, FIRST)
    found = valued_as_paid(case, effort=Effort(swept=None), progress=told)
    paid = always_paid(found)
    return acting_on(paid, fresh_look(paid, best_package(found)))


def acting_on(found: Valued, shown: FreshLook) -> Acting:
    """The same of a valued case whose advised package is seen on fresh futures.

    Conditions are looked for on the futures that the policy was learned on, rounded, and played as
    they are said on fresh ones. Where all of them cost more than a hundredth beyond the policy,
    those that cost most are taken back until they do not.
    """
    left = [
        played_cluster(one, shown)
        for cluster in range(len(found.costs))
        for one in left_over(shown, cluster)
    ]
    said, more = _good(shown, left)
    never, npc = beyond(shown, [one.never for one in left]), float(shown.cost.mean())
    told = [each for one in left for each in _whens_to_fit(found, one, said=one in said)]
    return Acting(
        **draws_of(found.case),
        advised=found.options(shown.package),
        npc=npc,
        costs=float(more.mean()),
        costs_se=standard_error(more),
        share=float(more.mean()) / npc,
        never_costs=float(never.mean()),
        conditions=tuple(sorted(told, key=lambda one: (-one.chance, one.options))),
    )


def _good(shown: FreshLook, left: Sequence[Played]) -> tuple[list[Played], Floats]:
    """Clusters that words are good enough for, and what going by these costs, (N,) [money]."""
    said = [one for one in left if one.beyond.mean() < one.never.beyond.mean()]
    said.sort(key=lambda one: float(one.beyond.mean()))
    while True:
        more = beyond(shown, said)
        if not said or float(more.mean()) <= MOST * float(shown.cost.mean()):
            return said, more
        said.pop()


def _whens_to_fit(found: Valued, one: Played, *, said: bool) -> Iterator[WhenToFit]:
    left, mean = one.left, float(one.beyond.mean())
    board = learning_board(left, found)
    streams = [found.problem.growth.keys[k] for k in left.part.streams]
    for group in left.apart:
        yield WhenToFit(
            options=_options(found, left, group),
            chance=left.chance(group),
            work=(),
            adds=(),
            said=False,
            fits=0.0,
            costs=mean,
            costs_se=standard_error(one.beyond),
        )
    for place, (group, rule) in enumerate(zip(left.groups, one.rules, strict=True)):
        gains = board.gains(place)
        wants = np.flatnonzero(gains > 0.0)
        condition, fits = rule.condition or Condition(), one.fits(place)
        yield WhenToFit(
            options=_options(found, left, group),
            chance=left.chance(group),
            work=tuple(streams[k] for k in wants),
            adds=tuple(float(gains[k]) for k in wants),
            said=said and fits > 0.0,
            margin=condition.margin or None,
            years=condition.years or None,
            brings=condition.brings or None,
            price=condition.price if np.isfinite(condition.price) else None,
            after=condition.after if np.isfinite(condition.after) else None,
            fits=fits,
            costs=mean,
            costs_se=standard_error(one.beyond),
        )


def _options(found: Valued, left: LeftOver, group: Joint) -> tuple[str, ...]:
    """Ids of a group, the dearest first."""
    order = sorted(group, key=lambda i: -left.part.targets[i].price)
    return tuple(found.problem.options[left.part.targets[i].option] for i in order)
