"""Which work takes hours, where a case limits them."""

from collections.abc import Sequence

import numpy as np

from optioneer.model.case import Case
from optioneer.model.catalogue import Slot
from optioneer.model.growth import Stream
from optioneer.valuation.lattice.hours import Attendance


def attendance_of(case: Case) -> Attendance | None:
    """Hours in which somebody is there; none where they are not limited."""
    if case.hours is None:
        return None
    beyond = case.hours.beyond
    return Attendance(case.hours.attended, np.inf if beyond is None else beyond)


def served(stream: Stream) -> bool:
    """Whether an option has a part in doing a stream."""
    return any(way.options for way in stream.way)


def counted(case: Case, stream: Stream) -> bool:
    """Whether a stream takes hours that are limited."""
    return case.hours is not None and stream.takes_hours


def takes_hours(case: Case, slots: Sequence[Slot]) -> bool:
    """Whether work that these slots serve takes hours that are limited.

    Parameters
    ----------
    case
        A checked case.
    slots
        Related slots; none: the work that no option serves.
    """
    own = {option.option for slot in slots for option in slot.options}
    return any(
        counted(case, stream)
        and (
            any(own.intersection(way.options) for way in stream.way)
            if slots
            else not served(stream)
        )
        for stream in case.growth.stream
    )
