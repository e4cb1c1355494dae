"""Work that the futures drawn show too seldom: what hangs on it can look certain and be wrong."""

import math

from optioneer.model.case import Case
from optioneer.model.growth import Stream
from optioneer.study.advice.answers import Rare

OFTEN_ENOUGH = 20
"""Futures in which a thing has to be due for its average and error to be told from the sample."""


def rare_streams(case: Case) -> tuple[Rare, ...]:
    """Streams due to come, or to stay away, in fewer than 20 of the case's futures."""
    told = (_rare(case, stream) for stream in case.growth.stream)
    return tuple(each for each in told if each.times < OFTEN_ENOUGH)


def _rare(case: Case, stream: Stream) -> Rare:
    chance = case.growth.chance_of(stream)
    seldom = min(chance, 1.0 - chance)
    # what is certain either way is seen in every future
    times = case.growth.futures * seldom if seldom > 0.0 else math.inf
    return Rare(
        stream=stream.id,
        name=stream.name or stream.id,
        chance=chance,
        times=times,
        futures=math.ceil(OFTEN_ENOUGH / seldom) if seldom > 0.0 else 0,
    )
