"""The advice on a case as it is, and as it is played with: quick first, then whole."""

from dataclasses import dataclass

from optioneer.app.engine import cached
from optioneer.model.case import Case
from optioneer.study.advice.answers import Advice, PackageAnswer
from optioneer.study.problem.effort import Progress


@dataclass(frozen=True)
class Pair:
    """The advice on the case as it is, and on the case as played with, on as many futures.

    `kept` is the package advised before, valued as the case is played with.
    """

    before: Advice
    after: Advice
    kept: PackageAnswer


def sketched_pair(case: Case, changed: Case, told: Progress) -> Pair:
    """Both on few futures, the second with the policies of the first: as fast as a slider moves.

    Where those do not fit it is valued on its own, on as few futures.
    """
    if changed == case:
        before = cached.preview(case, told)
        return Pair(before, before, before.advised)
    key = ("sketch", cached.content(case), cached.content(changed))
    return cached.any_answer(key, lambda: _sketched_pair(case, changed, told))


def _sketched_pair(case: Case, changed: Case, told: Progress) -> Pair:
    from optioneer.study.advice.package import asked_answer  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.advice.verdicts import sketched_advice_on  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.worth.after_change import valued_after  # noqa: PLC0415 - the engine loads when asked
    from optioneer.study.worth.packages import package_holding  # noqa: PLC0415 - the engine loads when asked

    before = cached.preview(case, told)
    found = valued_after(cached.valued_case(case, told), changed, told)
    if found is None:
        return _pair(case, changed, told, few=True)
    after, held = sketched_advice_on(found), before.advised.options
    told(1.0)
    if held == after.advised.options:
        return Pair(before, after, after.advised)
    asked = package_holding(changed, "asked", frozenset(held))
    return Pair(before, after, asked_answer(found, asked))


def whole_pair(case: Case, changed: Case, told: Progress) -> Pair:
    """Both on all futures of the case."""
    return _pair(case, changed, told, few=False)


@dataclass
class _Halves:
    """How far two pieces of work are, of which the first may be known already.

    Then the second is all there is: told as half done at once, work that nobody wants any more
    would pass for nearly done and be finished first.
    """

    told: Progress
    worked: bool = False

    def first(self, share: float) -> None:
        """So much of the first is done."""
        self.worked = True
        self.told(share / 2)

    def second(self, share: float) -> None:
        """So much of the second is done."""
        self.told((1.0 + share) / 2 if self.worked else share)


def _pair(case: Case, changed: Case, told: Progress, *, few: bool) -> Pair:
    advise, halves = cached.preview if few else cached.advice, _Halves(told)
    before = advise(case, halves.first)
    after = advise(changed, halves.second)
    if before.advised.options == after.advised.options:
        return Pair(before, after, after.advised)
    return Pair(before, after, cached.package(changed, frozenset(before.advised.options), few=few))
