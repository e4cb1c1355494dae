"""Which of several packages, or of several dealers' quotes, is better, and how sure is that."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import KW_ONLY, dataclass, field
from functools import partial
from string import ascii_uppercase

import numpy as np

from optioneer.arrays import Floats
from optioneer.errors import RequestError, did_you_mean
from optioneer.model.case import Case
from optioneer.model.growth import Growth
from optioneer.model.machine import Package
from optioneer.model.paying import Paying
from optioneer.money.cents import amount_of
from optioneer.study.advice.answers import PackageAnswer
from optioneer.study.advice.package import (
    fresh_look,
    on_other_futures,
    package_answer,
)
from optioneer.study.advice.package_choice import BASE, named_package
from optioneer.study.advice.verdicts import CENT
from optioneer.study.cash.financing import taxed_by
from optioneer.study.cash.price import contract_cents
from optioneer.study.compare.answers import Compared, Comparison, Quote, Served
from optioneer.study.compare.common_growth import (
    earned_by_machine,
    on_growth,
    streams_only_in,
    streams_without_way,
)
from optioneer.study.compare.currencies import Exchange, in_currency, rates_for
from optioneer.study.compare.one_calendar import one_calendar
from optioneer.study.compare.turning_rates import rate_turns
from optioneer.study.problem.effort import Progress, effort_of, part_of, share_of
from optioneer.study.problem.executor import Pool, opened
from optioneer.study.ready.first_chips import with_first_chips
from optioneer.study.site_costs.site_bills import States
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.outcome import outcome_answer
from optioneer.study.worth.packages import package_holding, states_of
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.paired_comparison import Contest, contest, histogram
from optioneer.valuation.figures.summary import interval_errors, spread, standard_error
from optioneer.valuation.timing.policy import Mapper

ADVISED = "advised"
LEVELS = (0.01, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 0.99)
"""Shares of futures whose quantiles are told."""

STEPS = 40
"""Equal steps of cost in which futures are counted."""

MOST_COMPARED = 26
"""More packages than letters are not compared."""


@dataclass(frozen=True)
class ComparisonRequest:
    """Packages of one case, or of several, are to be put side by side.

    Parameters
    ----------
    cases
        Checked cases, each name once.
    packages
        Those wanted beside the advised package of each case: `base`, the id of a candidate, or ids
        of options with commas between them; of another case than the first behind its name and a
        colon. None: the candidates of each case and its standard machine.
    growth
        Name of the case whose growth, horizon and draws are used; none: the first.
    exchange
        The common currency and rates; none: that of the first case, the only one.
    seconds
        Most that each search may take where too many options hang together [s]; none: as usual.
    """

    cases: tuple[Case, ...]
    _: KW_ONLY
    packages: tuple[str, ...] = ()
    growth: str | None = None
    exchange: Exchange = field(default_factory=Exchange)
    seconds: float | None = None


def comparison(
    request: ComparisonRequest, *, progress: Progress | None = None, pool: Pool | None = None
) -> Comparison:
    """Packages of one case, or of several, on the same growth and the same futures.

    `pool`: who sweeps the clusters; none: this process. The answer is the same.

    Raises
    ------
    RequestError
        A case is given twice, a name is unknown, a rate is missing, or too many are asked for.
    CaseError
        A case does not fit to the common growth.
    """
    cases = request.cases
    _refuse_namesakes(cases)
    asked = _packages_asked_for(cases, request.packages)
    currency, rates, day = rates_for([c.machine.currency for c in cases], request.exchange)
    source = request.growth or cases[0].name
    if source not in asked:
        raise RequestError(
            f"--growth: no case here is named '{source}'. {did_you_mean(source, list(asked))}"
        )
    at = partial(_at_rates, cases, currency, source)
    on_days = at(rates)
    common = next(case.growth for case in on_days if case.name == source)
    with opened(pool) as far:
        values = _valuations(on_days, asked, request.seconds, (progress, far))
    entrants = [
        entrant
        for case, found in zip(cases, values.found, strict=True)
        for entrant in _entrants(case, found, asked[case.name], values.first)
    ]
    if len(entrants) > MOST_COMPARED:
        raise RequestError(
            f"{len(entrants)} packages are too many to compare: at most {MOST_COMPARED}. Name "
            "those that matter with --package."
        )
    compared, edges = _contest(entrants)
    return Comparison(
        currency=currency,
        rate_date=day,
        growth=source,
        futures=common.futures,
        seed=common.seed,
        quotes=_quotes(cases, on_days, rates=rates, common=common),
        streams=tuple(stream.id for stream in common.stream),
        rate_turns=rate_turns(at, rates, currency) if len(rates) > 1 else (),
        packages=compared,
        searched=any(found.searches for found in values.found),
        levels=LEVELS,
        edges=edges,
    )


@dataclass(frozen=True)
class _Valuations:
    """The cases valued on one calendar, and the one whose machine is there first."""

    found: tuple[Valued, ...]
    first: Valued


def _valuations(
    cases: Sequence[Case],
    asked: Mapping[str, Sequence[Package]],
    seconds: float | None,
    heard: tuple[Progress | None, Mapper | None],
) -> _Valuations:
    """Every case on the calendar of the machine that is there first.

    `heard` is told how far the work is, and says who sweeps the clusters.
    """
    progress, far = heard
    calendar = one_calendar(cases)
    found = tuple(
        valued_case(
            calendar.on(case),
            effort=effort_of(share_of(seconds, len(cases)), also=asked[case.name]),
            start=calendar.start(case),
            progress=part_of(progress, place / len(cases), (place + 1) / len(cases)),
            far=far,
        )
        for place, case in enumerate(cases)
    )
    days = [case.dates.first_chips_date for case in cases]
    return _Valuations(found, found[days.index(calendar.first_chips)])


@dataclass
class _Entrant:
    """One package on its way into the comparison.

    Its outcome is what it leaves on the common calendar; its cost is the margin of all work, as the
    first machine there meets it, less that.
    """

    case: Case
    answer: PackageAnswer
    outcome: Floats
    cost: Floats
    serves: tuple[Served, ...]
    quoted: float
    also: list[str] = field(default_factory=list)


def _refuse_namesakes(cases: Sequence[Case]) -> None:
    names = [case.name for case in cases]
    for name in names:
        if names.count(name) > 1:
            raise RequestError(
                f"Two cases are named '{name}', as their folders are. Give each once, or rename "
                "one of the folders."
            )


def _at_rates(
    cases: Sequence[Case], currency: str, growth: str, rates: Mapping[str, float]
) -> list[Case]:
    """The cases, dated, in one currency, on the growth of one of them and under its income tax.

    What is earned is taxed where the shop is, whatever is told beside a quote.
    """
    on = {c.name: in_currency(c, currency, rates[c.machine.currency]) for c in cases}
    taxes = on[growth].paying or Paying()
    return [
        with_first_chips(on_growth(taxed_by(on[case.name], taxes.income_tax), on[growth].growth))
        for case in cases
    ]


def _packages_asked_for(cases: Sequence[Case], packages: Sequence[str]) -> dict[str, list[Package]]:
    """The packages that take part beside the advised ones, by case."""
    if not packages:
        return {
            case.name: [*case.packages, _with_name(named_package(case, BASE))] for case in cases
        }
    known = {case.name: case for case in cases}
    found: dict[str, list[Package]] = {name: [] for name in known}
    for text in packages:
        name, colon, wanted = text.partition(":")
        if not colon:
            name, wanted = cases[0].name, text
        if name.strip() not in known:
            raise RequestError(
                f"--package: no case here is named '{name}'. {did_you_mean(name, known)}"
            )
        package = named_package(known[name.strip()], wanted.strip())
        found[name.strip()].append(_with_name(package))
    return found


def _with_name(package: Package) -> Package:
    """`package` with a name by which several that are asked for can be told apart."""
    if package.id != "asked":
        return package
    if not package.options and not package.without:
        return package.model_copy(update={"id": BASE})
    return package.model_copy(update={"name": ", ".join(package.options)})


def _entrants(case: Case, found: Valued, asked: Sequence[Package], first: Valued) -> list[_Entrant]:
    """The advised package of a case and those asked for, each once.

    All are told on futures that chose none of them; these are the same for all cases.
    """
    elsewhere = on_other_futures(first)
    wanted = [(ADVISED, best_package(found))]
    wanted += [
        (package.id if package.id != "asked" else package.name, states_of(found, package))
        for package in asked
    ]
    entrants: dict[States, _Entrant] = {}
    for name, states in wanted:
        if states in entrants:
            entrants[states].also.append(name)
        else:
            entrants[states] = _entrant(case, found, (name, states), elsewhere)
    return list(entrants.values())


def _entrant(case: Case, found: Valued, named: tuple[str, States], first: Valued) -> _Entrant:
    name, states = named
    shown = fresh_look(found, states)
    answer = package_answer(found, name, states, shown)
    # the contract is in the quote's own currency, to the cent
    cents = contract_cents(case, package_holding(case, ADVISED, answer.options))
    cost = shown.cost + (first.margin - shown.elsewhere.margin)
    if found.problem is not first.problem:
        answer = _on_calendar(answer, cost, shown.outcome, first)
    return _Entrant(
        case,
        answer,
        shown.outcome,
        cost,
        tuple(_serves(found, states)),
        amount_of(cents, case.machine.currency),
    )


def _on_calendar(
    answer: PackageAnswer, cost: Floats, outcome: Floats, first: Valued
) -> PackageAnswer:
    """`answer` with costs that count all work from the day on which the first machine is there."""
    whole = spread(cost)
    missed = whole.mean - answer.npc
    return answer.model_copy(
        update={
            "npc": whole.mean,
            "npc_se": whole.error,
            "learned": whole.mean,
            "hindsight": answer.hindsight + missed,
            "rule": answer.rule + missed,
            "outcome": outcome_answer(outcome, first.not_buying),
        }
    )


def _serves(found: Valued, states: States) -> Iterator[Served]:
    streams = found.case.growth.stream
    shares = {k: (earned_by_machine(streams[k]),) * 2 for k, _ in found.problem.alone}
    for cost, state in zip(found.costs, states, strict=True):
        lattice = cost.lattice
        least = lattice.least_lost(state)
        for row, k in enumerate(lattice.streams):
            shares[int(k)] = (1.0 - float(lattice.lost[state, row]), 1.0 - float(least[row]))
    for k, stream in enumerate(streams):
        earned, reachable = shares[k]
        yield Served(stream=stream.id, earned=earned, reachable=reachable, way=bool(stream.way))


def _quotes(
    cases: Sequence[Case], dated: Sequence[Case], *, rates: Mapping[str, float], common: Growth
) -> tuple[Quote, ...]:
    days = [case.dates.first_chips_date for case in dated]
    return tuple(
        Quote(
            case=case.name,
            machine=case.machine.name,
            currency=case.machine.currency,
            rate=rates[case.machine.currency],
            order=on.dates.order,
            first_chips=on.dates.first_chips_date,
            days_later=(day - min(days)).days,
            site=case.site is not None,
            without_way=streams_without_way(on),
            untold=streams_only_in(common, case.growth),
            left_out=streams_only_in(case.growth, common),
        )
        for case, on, day in zip(cases, dated, days, strict=True)
    )


def _contest(entrants: Sequence[_Entrant]) -> tuple[tuple[Compared, ...], tuple[float, ...]]:
    """The packages against each other, the least NPC first, and the edges of the histograms."""
    ranked = sorted(entrants, key=lambda each: (each.answer.npc, each.case.name, each.answer.id))
    costs = np.array([entrant.cost for entrant in ranked])
    fares = contest(costs)
    outcomes = np.array([entrant.outcome for entrant in ranked])
    edges, counts = histogram(outcomes, STEPS)
    compared = tuple(
        _comparison_row(entrant, costs[[row, 0]], fares, (row, counts[row].tolist()))
        for row, entrant in enumerate(ranked)
    )
    return compared, tuple(edges.tolist())


def _comparison_row(
    entrant: _Entrant, costs: Floats, fares: Contest, place: tuple[int, list[int]]
) -> Compared:
    own, best = costs
    row, counts = place
    over = float((own - best).mean())
    error = standard_error(own - best)
    return Compared(
        **dict(entrant.answer),
        label=ascii_uppercase[row],
        case=entrant.case.name,
        also=tuple(entrant.also),
        quoted_price=entrant.quoted,
        over_best=over,
        over_best_se=error,
        close_call=row > 0 and over < max(interval_errors(len(own)) * error, CENT),
        chance_best=float(fares.chance_best[row]),
        mean_regret=float(fares.mean_regret[row]),
        regret_share=float(fares.regret_share[row]),
        serves=entrant.serves,
        quantiles=tuple(np.quantile(entrant.outcome, LEVELS).tolist()),
        counts=tuple(counts),
    )
