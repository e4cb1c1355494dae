"""The verdicts on a case whose packages are valued, and how sure they are."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Protocol

import numpy as np

from optioneer.arrays import Bools, Floats
from optioneer.errors import RequestError
from optioneer.model.machine import Package as Candidate
from optioneer.study.advice.answers import (
    Advice,
    FrontierPoint,
    Information,
    OptionAnswer,
    PackageAnswer,
    PackageFigures,
    SearchAnswer,
)
from optioneer.study.advice.hours import hours_answer
from optioneer.study.advice.information import information, perfect_information, rare_streams
from optioneer.study.advice.package import (
    FreshLook,
    fresh_look,
    package_answer,
    package_figures,
    with_bounds,
)
from optioneer.study.advice.proof import search_answer, unproven
from optioneer.study.advice.purse import FromAccount, from_account_answer, unpaid_later
from optioneer.study.advice.whether_to_buy import pays_of
from optioneer.study.answer import Verdict, draws_of
from optioneer.study.problem.copies import in_a_copy
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.related import calls_apart
from optioneer.study.site_costs.site_bills import States
from optioneer.study.unknowns.unknowns import Unknowns, unknowns_of
from optioneer.study.worth.affordable import STARTS
from optioneer.study.worth.best_package import best_package, bettering, dearest_package
from optioneer.study.worth.packages import states_of
from optioneer.study.worth.pursed import Pursed
from optioneer.study.worth.valued_case import Valued
from optioneer.valuation.choice.frontier import Frontier, merged, undominated
from optioneer.valuation.figures.summary import interval_errors, standard_error
from optioneer.valuation.timing.journey import Journey

SELDOM = 0.01
"""Share of futures below which fitting an option later is not worth planning for."""

CENT = 0.01
"""Differences below it are none, however sure [money]."""

REGRETTED = 0.005
"""Smaller differences between two choices in one future are rounding [money]."""

MOST_ON_FRONTIER = 200
"""Points of the frontier that the answer lists."""


class Chooser(Protocol):
    """What makes one package better than another."""

    def best(self, within: tuple[int, Bools] | None = None) -> States:
        """The best package, a cluster kept to some of its states if told."""
        ...

    def beyond(self, other: States, chosen: States) -> Floats:
        """What one package costs beyond another by future, shape (N,) [money]; its mean counts."""
        ...


@dataclass(frozen=True)
class OnAverage:
    """The package with the least mean NPC is the best."""

    found: Valued
    budget: float | None = None

    @cached_property
    def _best(self) -> States:
        return best_package(self.found, budget=self.budget)

    def best(self, within: tuple[int, Bools] | None = None) -> States:
        """See `Chooser`."""
        if within is None:
            return self._best
        best = best_package(self.found, budget=self.budget, within=within, better=False)
        if not self.found.mix.any_tied:
            return best
        means = list(self.found.means)
        return bettering(self.found, means, self.budget).otherwise(self._best, best, within)

    def beyond(self, other: States, chosen: States) -> Floats:
        """NPC of one less NPC of the other."""
        return self.found.beyond(other, chosen)


class Alone(OnAverage):
    """The same, but for another choice of one option no other cluster is chosen anew: quickly."""

    def best(self, within: tuple[int, Bools] | None = None) -> States:
        """See `Chooser`; what is best within a cluster beside the best package."""
        chosen = super().best()
        if within is None:
            return chosen
        cluster, allowed = within
        means = self.found.means[cluster] + self.found.site.now_beside(chosen, cluster)
        state = int(np.where(allowed, means, np.inf).argmin())
        return (*chosen[:cluster], state, *chosen[cluster + 1 :])


def advice_on(
    found: Valued, *, budget: float | None = None, chooser: Chooser | None = None
) -> Advice:
    """The advice on a case whose packages are already valued.

    `chooser` says which package is the best; none: the one that costs least on average.
    """
    used = chooser or OnAverage(found, budget)
    if budget is not None or chooser is not None or isinstance(found, Pursed):
        return _advice_on(found, used, budget, information)
    chosen = used.best()

    def what_figures_do() -> Unknowns:
        with parallel():  # products of matrices on one thread each
            return unknowns_of(found, chosen)

    with in_a_copy(lambda: what_figures_do().alone) as known:
        told = _advice_on(found, used, budget, information)
        return _standing(told, Unknowns(found, chosen, *known()))


def _standing(told: Advice, known: Unknowns) -> Advice:
    """The same with what each verdict hangs on."""
    with parallel():  # products of matrices on one thread each
        options = tuple(
            one
            if one.otherwise is None
            else one.model_copy(update={"hangs_on": known.hangs_on(one.option, one.otherwise)})
            for one in told.options
        )
    return told.model_copy(update={"options": options})


def sketched_advice_on(found: Valued) -> Advice:
    """The same in short, the other choice a little too dear: all else would stay as it is."""
    by_itself = isinstance(found, Pursed) or found.searches
    chooser = OnAverage(found) if by_itself else Alone(found)
    return _advice_on(found, chooser, None, perfect_information)


def _advice_on(
    found: Valued, chooser: Chooser, budget: float | None, informed: Callable[..., Information]
) -> Advice:
    case = found.case
    with parallel():  # products of matrices on one thread each
        short, shown, packages = _short_advice(found, chooser, _candidates(found))
        chosen = shown.package
        advised = with_bounds(found, chosen, short.advised, shift=shown.shift)
        return Advice(
            **draws_of(case),
            budget=budget,
            advised=advised,
            packages=packages,
            options=short.options,
            frontier=_frontier_points(found, shown, advised.npc),
            information=informed(found, chosen, budget=budget),
            pays=pays_of(shown),
            search=short.search,
            from_account=_from_account(found, short, chooser, budget),
            rare=rare_streams(case),
            hours=hours_answer(shown.elsewhere, shown.journeys),
            visits_apart=tuple(sorted(calls_apart(case))),
        )


def _from_account(
    found: Valued, told: "ShortAdvice", chooser: Chooser, budget: float | None
) -> FromAccount | None:
    """What it does that retrofits are paid from the account; none where they are not."""
    if not isinstance(found, Pursed):
        return None
    free = best_package(found.free, budget=budget)
    said = {o.option: o.verdict for o in told.options}
    return from_account_answer(found, (chooser.best(), free), said, verdicts(found.free, free))


@dataclass(frozen=True)
class ShortAdvice:
    """What is advised, and what it says of each option: the same as in the whole advice.

    Parameters
    ----------
    package, shift
        The advised package, and what it costs more on futures of its own [money].
    """

    package: States
    shift: float
    advised: PackageFigures
    options: tuple[OptionAnswer, ...]
    search: SearchAnswer | None


def short_advice_on(found: Valued, *, budget: float | None = None) -> ShortAdvice:
    """What is advised on a case that is one of many; nothing else is worked out."""
    with parallel():  # products of matrices on one thread each
        return _short_advice(found, OnAverage(found, budget))[0]


def _short_advice(
    found: Valued, chooser: Chooser, also: Sequence[tuple[str, States]] = ()
) -> tuple[ShortAdvice, FreshLook, tuple[PackageAnswer, ...]]:
    """The short advice, the advised package on futures of its own, and what `also` cost."""
    chosen = chooser.best()
    with in_a_copy(lambda: _other_choices(found, chooser)) as others:
        shown = fresh_look(found, chosen)
        advised = package_figures(found, "advised", chosen, shown)
        packages = tuple(package_answer(found, *each, shown) for each in also)
        search = search_answer(found, chosen, advised.npc)
        options = tuple(_option_answer(found, *each, shown) for each in others().items())
    gap = None if search is None else search.gap
    sure = options if gap is None else unproven(options, lambda _: gap)
    return ShortAdvice(chosen, shown.shift, advised, sure, search), shown, packages


def verdicts(found: Valued, chosen: States) -> dict[str, Verdict]:
    """The verdict on each option, in the order of the catalogue, when `chosen` is ordered."""
    journeys, said = fresh_look(found, chosen).journeys, {}
    for name in (option.option for option in found.case.catalogue.options):
        option = found.problem.options.index(name)
        cluster = found.cluster_of(option)
        ordered = bool(found.costs[cluster].lattice.holding(option)[chosen[cluster]])
        later = _fitted_later(found, cluster, option, journeys[cluster])
        said[name] = _verdict(ordered=ordered, chance=later.chance)
    return said


def _candidates(found: Valued) -> list[tuple[str, States]]:
    """The case's own packages, the bare standard machine and the dearest package."""
    own = [(package.id, states_of(found, package)) for package in found.case.packages]
    return [*own, ("base", states_of(found, Candidate(id="base"))), ("all", dearest_package(found))]


def _frontier_points(found: Valued, shown: FreshLook, npc: float) -> tuple[FrontierPoint, ...]:
    """The best packages by price, the advised one, which costs `npc`, among them."""
    most = STARTS if isinstance(found, Pursed) else MOST_ON_FRONTIER
    frontier: Frontier = merged(found.prices, found.means).thinned(most)
    packages = [tuple(int(state) for state in states) for states in frontier.states]
    prices, cost = list(frontier.price), list(frontier.cost)
    if shown.package not in packages:  # bettered with the site and the real mix of work
        packages.append(shown.package)
        prices.append(_sum_at(found.prices, shown.package))
        cost.append(_sum_at(found.means, shown.package))
    # Found without the site, told with it; points that the site makes no better are left out.
    total = np.array(cost) + [_beyond_clusters(found, package) for package in packages]
    constant = float(found.constant.mean()) + shown.shift
    total[packages.index(shown.package)] = npc - constant
    return tuple(
        FrontierPoint(
            price=round(found.case.machine.base_price + float(prices[point]), 2),
            npc=constant + float(total[point]),
            options=found.options(packages[point]),
        )
        for point in undominated(np.array(prices), total)
    )


def _beyond_clusters(found: Valued, package: States) -> float:
    """What a package costs beyond its clusters: site, mix of work, want of money [money]."""
    if isinstance(found, Pursed):
        apart = float(found.constant.mean()) + _sum_at(found.means, package)
        return found.mean(package) - apart
    return float(found.site.cost(package).mean()) + found.mix.mean(package, rough=True)


def _sum_at(parts: Sequence[Floats], states: States) -> float:
    """What the clusters make together in some states [money]."""
    return sum(float(part[state]) for part, state in zip(parts, states, strict=True))


def _option_answer(
    found: Valued, name: str, other: Mapping[str, Any], shown: FreshLook
) -> OptionAnswer:
    """What the advice says of an option; `other` as `_other_choices` by field."""
    chosen, option = shown.package, found.problem.options.index(name)
    cluster = found.cluster_of(option)
    ordered = bool(found.costs[cluster].lattice.holding(option)[chosen[cluster]])
    later = _fitted_later(found, cluster, option, shown.journeys[cluster])
    return OptionAnswer(
        option=name,
        verdict=_verdict(ordered=ordered, chance=later.chance),
        chance_fitted_later=later.chance,
        median_year_fitted=later.median_year,
        present_cost_fitted_later=later.cost,
        **other,
    )


def _other_choices(found: Valued, chooser: Chooser) -> dict[str, dict[str, Any]]:
    """What the other choice of each option does, by option and field of its answer."""
    with parallel():  # products of matrices on one thread each
        names = [option.option for option in found.case.catalogue.options]
        return {name: _other_choice(found, name, chooser) for name in names}


def _other_choice(found: Valued, name: str, chooser: Chooser) -> dict[str, Any]:
    chosen, option = chooser.best(), found.problem.options.index(name)
    cluster = found.cluster_of(option)
    holding = found.costs[cluster].lattice.holding(option)
    ordered = bool(holding[chosen[cluster]])
    other = _otherwise(found, (cluster, holding != ordered), chooser)
    unpaid = unpaid_later(found, other if ordered else chosen, option, ordered=ordered)
    if other is None:
        nothing = dict.fromkeys(("otherwise", "otherwise_se", "regret_share", "mean_regret"))
        return {**nothing, "close_call": False, "unpaid": unpaid}
    extra = chooser.beyond(other, chosen)
    regret = np.maximum(-found.beyond(other, chosen), 0.0)
    return {
        "otherwise": float(extra.mean()),
        "otherwise_se": standard_error(extra),
        "close_call": _close(extra),
        "regret_share": float((regret > REGRETTED).mean()),
        "mean_regret": float(regret.mean()),
        "unpaid": unpaid,
    }


def _close(extra: Floats) -> bool:
    """Whether a mean cannot be told from nothing: exact ties, too."""
    errors = interval_errors(len(extra)) * standard_error(extra)
    return abs(float(extra.mean())) < max(errors, CENT)


def _verdict(*, ordered: bool, chance: float) -> Verdict:
    if ordered:
        return "order now"
    return "leave for retrofit" if chance >= SELDOM else "leave off"


@dataclass(frozen=True)
class _Later:
    """How an option fares after the order of a package that lacks it."""

    chance: float
    median_year: float | None
    cost: float


def _fitted_later(found: Valued, cluster: int, option: int, journey: Journey) -> _Later:
    targets = found.costs[cluster].lattice.targets
    rows = [i for i, target in enumerate(targets) if target.option == option]
    if not rows:
        return _Later(0.0, None, 0.0)
    timeline = found.problem.timeline
    period = journey.fitted_in[rows[0]]
    fitted = period < timeline.periods
    median = float(np.median(timeline.years[period[fitted]])) if fitted.any() else None
    return _Later(float(fitted.mean()), median, float(journey.paid[rows[0]].mean()))


def _otherwise(found: Valued, within: tuple[int, Bools], chooser: Chooser) -> States | None:
    """The best package among those `within`, if there is any."""
    cluster, allowed = within
    if not (allowed & found.costs[cluster].lattice.orderable).any():
        return None
    try:
        return chooser.best(within)
    except RequestError:
        return None
