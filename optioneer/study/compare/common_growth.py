"""The growth that several cases are put on, and what each of them does not name of it."""

from optioneer.model.case import Case
from optioneer.model.checks.consistency import checked
from optioneer.model.growth import Growth, Stream, Way


def on_growth(case: Case, growth: Growth) -> Case:
    """`case` on the growth of another one, each stream with the ways that `case` has for it.

    Parameters
    ----------
    growth
        Horizon, draws, drivers and streams, in the currency of `case`.

    Returns
    -------
    The case. A stream that it does not name has no way there: its fallback is earned.

    Raises
    ------
    CaseError
        The case and the growth do not fit together.
    """
    ways = {stream.id: _with_hours(stream) for stream in case.growth.stream}
    streams = tuple(
        stream.model_copy(update={"way": ways.get(stream.id, ())}) for stream in growth.stream
    )
    return checked(
        case.model_copy(update={"growth": growth.model_copy(update={"stream": streams})})
    )


def _with_hours(stream: Stream) -> tuple[Way, ...]:
    """The ways of a stream with the hours that its own machine takes, where it names any."""
    if not stream.hours:
        return stream.way
    return tuple(way.model_copy(update={"hours": stream.hours_of(way)}) for way in stream.way)


def streams_without_way(case: Case) -> tuple[str, ...]:
    """Streams of a case that nothing on its machine serves."""
    return tuple(stream.id for stream in case.growth.stream if not stream.way)


def streams_only_in(first: Growth, second: Growth) -> tuple[str, ...]:
    """Streams that the first growth names and the second does not."""
    known = {stream.id for stream in second.stream}
    return tuple(stream.id for stream in first.stream if stream.id not in known)


def earned_by_machine(stream: Stream) -> float:
    """Share of a stream that no option serves: by a way without options, or the fallback."""
    return max([stream.fallback, *(way.share for way in stream.way)])
