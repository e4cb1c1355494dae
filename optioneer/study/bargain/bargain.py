"""How far to go with the dealer: what each thing he could give is worth to the buyer."""

from dataclasses import dataclass, field, replace

from optioneer.errors import RequestError
from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.study.advice.verdicts import verdicts
from optioneer.study.answer import Verdict
from optioneer.study.bargain.answers import Bargain, OptionBargain
from optioneer.study.bargain.credits import least_credit
from optioneer.study.bargain.matching_discount import level_quotes
from optioneer.study.bargain.turning_price import OptionBench, PriceTurn
from optioneer.study.bargain.week_later import week_later
from optioneer.study.compare.currencies import Exchange
from optioneer.study.problem.clusters import must_be_swept
from optioneer.study.problem.cores import parallel
from optioneer.study.problem.effort import Effort, Progress, part_of
from optioneer.study.problem.request import Request
from optioneer.study.worth.best_package import best_package
from optioneer.study.worth.packages import package_holding
from optioneer.study.worth.repricing import repriced
from optioneer.study.worth.valued_case import Valued, valued_case
from optioneer.valuation.figures.summary import standard_error
from optioneer.valuation.lattice.lattice import FirmPrice, Lattice
from optioneer.valuation.timing.policy import Mapper

WRITTEN_YEARS = 3.0
"""How long a later price is taken to be held in writing, unless told [years]."""

LONGEST = 50.0
"""No price is held for longer [years]."""

FIRST, LAST = 0.1, 0.8
"""Parts of the work that are done before the options, and before other quotes if there are any."""


@dataclass(frozen=True)
class BargainRequest(Request):
    """How far to go with the dealer is asked.

    Parameters
    ----------
    against
        Quotes of other dealers.
    exchange
        Rates, where they are in other currencies.
    written_years
        How long a later price would be held in writing [years after the order].
    """

    against: tuple[Case, ...] = ()
    exchange: Exchange = field(default_factory=Exchange)
    written_years: float = WRITTEN_YEARS


def negotiation(request: BargainRequest, *, progress: Progress | None = None) -> Bargain:
    """What each thing that the dealer could give is worth.

    Raises
    ------
    RequestError
        If a price cannot be held for so long, or another quote is given twice or lacks a rate.
    TooLargeError
        If a cluster of related slots is too large to be swept.

    Notes
    -----
    Each is told alone: with one of them granted the others are worth something else.
    """
    if not 0.0 < request.written_years <= LONGEST:
        raise RequestError(
            f"--written-years {request.written_years:g} is not allowed. Use above 0 to {LONGEST:g}."
        )
    must_be_swept(request.counted, "The negotiation sheet")
    case, first = request.counted, part_of(progress, 0.0, FIRST)
    found = valued_case(case, effort=Effort(swept=None), progress=first)
    chosen = best_package(found)
    held = found.options(chosen)
    quoted = LAST if request.against else 1.0
    options = _options(found, request.written_years, part_of(progress, FIRST, quoted))
    last = part_of(progress, LAST, 1.0)
    return Bargain(
        case=found.case.name,
        currency=found.case.machine.currency,
        futures=found.case.growth.futures,
        seed=found.case.growth.seed,
        written_years=request.written_years,
        advised=held,
        price=found.price(chosen),
        options=options,
        week=week_later(found.case, package_holding(found.case, "advised", held)),
        quotes=level_quotes(case, request.against, exchange=request.exchange, progress=last),
    )


def _options(found: Valued, years: float, progress: Progress | None) -> tuple[OptionBargain, ...]:
    said, told = verdicts(found, best_package(found)), []
    with parallel() as run:
        for number, option in enumerate(found.case.catalogue.options, 1):
            told.append(_option(found, option, (said[option.option], years), run))
            if progress is not None:
                progress(number / len(found.case.catalogue.options))
    return tuple(told)


def _option(
    found: Valued, option: Option, asked: tuple[Verdict, float], run: Mapper
) -> OptionBargain:
    verdict, years = asked
    bench = OptionBench(found, option, run)
    turned = PriceTurn(None, exact=True) if option.standard else bench.turn()
    waits = verdict != "order now"
    written = _written(bench, years) if waits else _Written(None, None, None)
    return OptionBargain(
        option=option.option,
        verdict=verdict,
        price=option.price,
        turns_at=turned.at,
        exact=turned.exact,
        credit=option.delete_credit,
        credit_turns_at=least_credit(found, option, run) if option.standard else None,
        written_price=written.price,
        written_worth=written.worth,
        written_worth_se=written.error,
    )


@dataclass(frozen=True)
class _Written:
    """A later price in writing, and what that is worth."""

    price: float | None
    worth: float | None
    error: float | None


def _written(bench: OptionBench, years: float) -> _Written:
    option, found = bench.option, bench.found
    if option.multiplier is None or not option.retrofittable:
        return _Written(None, None, None)
    price = option.listed_later * option.multiplier.likely
    firm = FirmPrice(price, years)

    def in_writing(lattice: Lattice) -> Lattice:
        targets = tuple(
            replace(target, firm=firm) if target.option == bench.index else target
            for target in lattice.targets
        )
        return replace(lattice, targets=targets)

    other = repriced(found, found.case, bench.cluster, bench.run, other=in_writing)
    saved = found.cost(best_package(found)) - other.cost(best_package(other))
    return _Written(price, float(saved.mean()), standard_error(saved))
