"""Which work relies on an option."""

from optioneer.model.case import Case
from optioneer.model.growth import Stream


def streams_relying_on(case: Case, option: str) -> tuple[Stream, ...]:
    """Streams with a way that holds `option`, or something that requires it, in file order."""
    bearers = _bearers(case, option)
    return tuple(
        stream
        for stream in case.growth.stream
        if any(bearers.intersection(way.options) for way in stream.way)
    )


def _bearers(case: Case, option: str) -> set[str]:
    """The option and everything that requires it, directly or through others."""
    found, waiting = {option}, [option]
    while waiting:
        needed = waiting.pop()
        for other in case.catalogue.options:
            if needed in other.requires and other.option not in found:
                found.add(other.option)
                waiting.append(other.option)
    return found
