"""The single likeliest future, and the package that planning on it alone would order."""

from dataclasses import replace

from optioneer.model.case import Case
from optioneer.model.catalogue import Catalogue, Option
from optioneer.model.checks.scenario import whole_periods
from optioneer.model.fact import Triangular, triangular
from optioneer.model.growth import Growth, Stream
from optioneer.study.problem.arrays import Problem
from optioneer.study.problem.futures import world_of
from optioneer.valuation.lattice.view import Pricing
from optioneer.valuation.timing.cluster import World

LIKELY = 0.5
"""Chance from which on a stream is counted on."""

FEWEST_FUTURES = 16
"""Futures that are drawn; they are all alike."""


def likeliest_world(sure: Case, problem: Problem, shop: Pricing | None = None) -> World:
    """The only future of a case without doubt.

    Parameters
    ----------
    sure
        A case as `likeliest_case` makes it.
    shop
        Says the price of an hour, if that is known.
    """
    world = world_of(sure, problem, shop=shop)
    return replace(world, valued=world.valued.block(0, 1))


def likeliest_case(case: Case) -> Case:
    """`case` without doubt: every stream and multiplier is what it most likely is.

    A stream that is at least as likely as not arrives in its likeliest year with its likeliest
    margin, which does not swing, and lasts as long as is likeliest; the others never come. The
    horizon is the likeliest sale of the machine. Nudges count towards the chance.
    """
    growth = case.growth
    kept = _kept_periods(case)
    left = kept / growth.periods
    machine = case.machine.model_copy(
        update={"kept_years": None, "resale_share": case.machine.resale_share**left}
    )
    options = tuple(_sure_option(option, left) for option in case.catalogue.options)
    sure = growth.model_copy(
        update={
            "futures": FEWEST_FUTURES,
            "horizon_years": kept / growth.periods_per_year,
            "stream": tuple(_sure_stream(growth, stream) for stream in growth.stream),
        }
    )
    catalogue = Catalogue(options=options)
    return case.model_copy(update={"machine": machine, "catalogue": catalogue, "growth": sure})


def _kept_periods(case: Case) -> int:
    """Whole periods that the machine most likely stays."""
    kept, most = case.machine.kept_years, case.growth.periods
    if kept is None:
        return most
    return min(max(whole_periods(triangular(kept).likely, case.growth), 1), most)


def _sure_stream(growth: Growth, stream: Stream) -> Stream:
    return stream.model_copy(
        update={
            "chance": 1.0 if growth.chance_of(stream) >= LIKELY else 0.0,
            "years": _sure(stream.years),
            "lasts_years": stream.lasts_years and triangular(stream.lasts_years).likely,
            "margin": _sure(stream.margin),
            "swing": 0.0,
        }
    )


def _sure_option(option: Option, left: float) -> Option:
    """An option without doubt; what its sale brings after a part `left` of the horizon."""
    return option.model_copy(
        update={
            "resale_share": option.resale_share**left,
            "multiplier": None if option.multiplier is None else _sure(option.multiplier),
            "eased": None if option.eased is None else _sure(option.eased),
        }
    )


def _sure(doubtful: Triangular) -> Triangular:
    return Triangular(low=doubtful.likely, likely=doubtful.likely, high=doubtful.likely)
