"""The advice of somebody to whom the worst futures weigh more than the others."""

import math
from dataclasses import dataclass, field
from functools import cached_property

from optioneer.arrays import Bools, Floats
from optioneer.study.advice.answers import Advice, Caution, Turned
from optioneer.study.advice.package import fresh_look, package_answer
from optioneer.study.advice.package_choice import Advised
from optioneer.study.advice.request import AdviceRequest
from optioneer.study.advice.verdicts import OnAverage, advice_on, verdicts
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.effort import Progress, part_of
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import best_package, price_limits
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.choice.attitude import Attitude
from optioneer.valuation.choice.caution import CautiousChoice, Weighings
from optioneer.valuation.choice.selection import Limit
from optioneer.valuation.figures.summary import standard_error

SHARE_OF_VALUING = 0.7
"""Part of the work that comes before the packages are weighed."""


def cautious_advice(
    request: AdviceRequest, weight: float, *, progress: Progress | None = None
) -> Advised:
    """The advice when the worst tenth of futures weighs more than the others.

    Parameters
    ----------
    weight
        Of the mean of the worst tenth, 0..1; the plain mean has the rest.

    Raises
    ------
    RequestError
        If no package can be had within the budget.
    TooLargeError
        If a cluster of related slots is too large to be swept.
    """
    must_be_swept(request.counted, "--risk cvar")
    found = valued_case(request.counted, progress=part_of(progress, 0.0, SHARE_OF_VALUING))
    chooser = Cautious(found, Attitude(weight), request.budget)
    answer = advice_on(found, budget=request.budget, chooser=chooser)
    if progress is not None:
        progress(1.0)
    return Advised(found, answer.model_copy(update={"caution": _caution(chooser, answer)}))


@dataclass(frozen=True)
class Cautious:
    """The package whose outcome is best when weighed by an attitude is the best.

    Parameters
    ----------
    budget
        Limit on the price, if any [money].
    """

    found: Valued
    attitude: Attitude
    budget: float | None = None
    _rated: dict[States, Floats] = field(default_factory=dict)

    @cached_property
    def weighings(self) -> Weighings:
        """What packages leave the shop short of all its margin, the site's part left out."""
        costs = [cost.learned for cost in self.found.costs]
        return Weighings(costs, self.found.constant - self.found.margin, self.attitude)

    def short(self, package: States) -> Floats:
        """Less the outcome of a package: what it leaves the shop short, shape (N,) [money]."""
        return -self.found.outcome(package)

    @cached_property
    def limits(self) -> list[Limit]:
        """The budget as a limit."""
        return price_limits(self.found, self.budget)

    @cached_property
    def choice(self) -> CautiousChoice:
        """The best package, and a bound on what any other leaves the shop short.

        Notes
        -----
        Where a site adds steps, each choice of levels is searched within its rooms. What has to be
        bought at the order is counted exactly; what retrofits may make necessary later is left out
        of the bound, so that it may leave a gap.

        Raises
        ------
        RequestError
            If no package can be had within the budget.
        """
        best: CautiousChoice | None = None
        bound = math.inf
        for rooms, now in self.found.site.rooms():
            least = self.weighings.least([*self.limits, *rooms])
            if least is None:
                continue
            bound = min(bound, least.bound + now)
            rated = self.attitude.rating(self.short(least.states))
            if best is None or rated < best.rated:
                best = CautiousChoice(least.states, rated, rated)
        if best is None:
            # within the same limits: says what the cheapest package would be
            states = best_package(self.found, budget=self.budget)
            best = CautiousChoice(states, self.attitude.rating(self.short(states)), -math.inf)
        return CautiousChoice(best.states, best.rated, min(bound, best.rated))

    def best(self, within: tuple[int, Bools] | None = None) -> States:
        """The best package; kept to some states, one that no change of one cluster betters."""
        if within is None:
            return self.choice.states
        start = best_package(self.found, budget=self.budget, within=within)
        return self.weighings.bettered(start, self.limits, within)

    def beyond(self, other: States, chosen: States) -> Floats:
        """What one package costs beyond another by future, the worst futures magnified."""
        return self._futures(other) - self._futures(chosen)

    def _futures(self, package: States) -> Floats:
        if package not in self._rated:
            self._rated[package] = self.attitude.rated_futures(self.short(package))
        return self._rated[package]


def _caution(chooser: Cautious, answer: Advice) -> Caution:
    """Against the package that is best on average, both on futures that chose neither."""
    found, choice = chooser.found, chooser.choice
    average = OnAverage(found, chooser.budget).best()
    plainly, cautiously = fresh_look(found, average), fresh_look(found, choice.states)
    plain, before = package_answer(found, "on-average", average, plainly), verdicts(found, average)
    paid, gap = cautiously.cost - plainly.cost, choice.rated - choice.bound
    rated = chooser.attitude.rating(-cautiously.outcome)
    return Caution(
        weight=chooser.attitude.weight,
        rated=-rated,
        bound=gap - rated,
        gap=gap,
        on_average=plain,
        costs_on_average=float(paid.mean()),
        costs_on_average_se=standard_error(paid),
        saves_in_worst_tenth=answer.advised.outcome.worst_tenth - plain.outcome.worst_tenth,
        turned=tuple(
            Turned(option=each.option, on_average=before[each.option], cautious=each.verdict)
            for each in answer.options
            if each.verdict != before[each.option]
        ),
    )
