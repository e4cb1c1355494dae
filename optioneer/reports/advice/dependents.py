"""Who needs an option: work streams, other options, bundles."""

from collections.abc import Collection

from optioneer.model.case import Case
from optioneer.model.catalogue import Option
from optioneer.model.growth import Stream
from optioneer.model.machine import Bundle


def streams_needing(case: Case, option: str) -> tuple[Stream, ...]:
    """Streams that cannot be done on this machine without `option`, the weightiest first."""
    return tuple(
        stream
        for stream in _streams_served(case, option)
        if all(option in w.options for w in stream.way)
    )


def streams_using(case: Case, option: str) -> tuple[Stream, ...]:
    """Streams with a way that holds `option` and another that does not, the weightiest first."""
    needing = streams_needing(case, option)
    return tuple(stream for stream in _streams_served(case, option) if stream not in needing)


def options_requiring(case: Case, option: str, among: Collection[str]) -> tuple[Option, ...]:
    """Options of `among` that require `option`."""
    return tuple(
        other
        for other in case.catalogue.options
        if option in other.requires and other.option in among
    )


def wanted_by_work(case: Case, option: str) -> bool:
    """Whether a stream has a way that holds `option` or anything that requires it."""
    everyone = case.catalogue.by_id.keys()
    return bool(_streams_served(case, option)) or any(
        wanted_by_work(case, other.option) for other in options_requiring(case, option, everyone)
    )


def options_eased(case: Case, option: str) -> tuple[Option, ...]:
    """Options that are cheaper to fit later once `option` is on the machine."""
    return tuple(other for other in case.catalogue.options if other.eased_by == option)


def rival_fitted(case: Case, option: Option, fitted: Collection[str]) -> Option | None:
    """What of `fitted` sits in the slot of `option` instead of it, if anything."""
    return next(
        (
            other
            for other in case.catalogue.options
            if other.slot is not None
            and other.slot == option.slot
            and other.option in fitted
            and other.option != option.option
        ),
        None,
    )


def excluded_by(case: Case, option: Option, fitted: Collection[str]) -> tuple[Option, ...]:
    """What of `fitted` must not be on the machine together with `option`."""
    return tuple(
        other
        for other in case.catalogue.options
        if other.option in fitted
        and (other.option in option.excludes or option.option in other.excludes)
    )


def bundles_with(case: Case, option: str) -> tuple[Bundle, ...]:
    """Bundles that `option` is part of."""
    return tuple(bundle for bundle in case.bundles if option in bundle.options)


def chance_of(case: Case, stream: Stream) -> float:
    """Chance that `stream` shows up, with the nudges of its drivers."""
    return case.growth.chance_of(stream)


def price_later(case: Case, option: Option, fitted: Collection[str]) -> float:
    """Average price of fitting `option` later, in money of the order date.

    The mean multiplier (the eased one where what eases it is among `fitted`), the downtime and
    one visit of its own; without inflation.
    """
    eased = option.eased_by is not None and option.eased_by in fitted
    multiplier = option.eased if eased else option.multiplier
    if multiplier is None:
        return 0.0
    visit = 0.0 if option.call_out is None else case.call_outs.get(option.call_out, 0.0)
    downtime = option.downtime_days * case.machine.margin_per_day
    return option.listed_later * multiplier.mean + downtime + visit


def _streams_served(case: Case, option: str) -> tuple[Stream, ...]:
    served = (s for s in case.growth.stream if any(option in way.options for way in s.way))
    return tuple(sorted(served, key=lambda stream: -_weight(case, stream)))


def _weight(case: Case, stream: Stream) -> float:
    return chance_of(case, stream) * stream.margin.mean * (1 - stream.fallback)
