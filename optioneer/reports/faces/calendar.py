"""The days of a purchase as a calendar file that other calendars take in and update."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import UTC, date, datetime, timedelta
from typing import Any
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar
from icalendar import Event as Entry

from optioneer.errors import RequestError
from optioneer.reports.page.money import Figures
from optioneer.reports.page.printable import one_line, printable
from optioneer.study.papers.diary import Event

MAKER = "-//optioneer//calendar 1//EN"
"""PRODID of our calendars: only such a file is taken for an earlier state of one."""

BEGINNING = datetime(2026, 1, 1, tzinfo=UTC)
"""Sequence numbers count the minutes since then, so that a later one is always higher."""

HIGHEST = 2**31 - 1
"""Of sequence numbers (RFC 5545, section 3.3.8)."""

_DAMAGED = (ValueError, LookupError, TypeError, AttributeError, ArithmeticError)
"""What the library raises on texts that are no calendar, some of it only when asked for a value."""

CAUTION = "Planning estimate. Contract terms and licensed people decide."


def calendar_file(
    name: str,
    events: Sequence[Event],
    figures: Figures,
    *,
    now: datetime,
    before: bytes | None = None,
    other: bool = False,
    record: str = "",
) -> bytes:
    """An iCalendar file of `events`; what has not changed since `before` stays as it was.

    Parameters
    ----------
    name
        Of the case: with it the same event has the same UID in every export.
    now
        The time of this export, with its zone.
    before
        The file that is replaced, if there is one: an event that it has and that is gone is
        handed on as cancelled, so that it vanishes from calendars that took it in.
    other
        Whether `before` may hold the days of another case, all of which are then cancelled.
    record
        What is said of the record of the case, so that a head of it is kept elsewhere.

    Raises
    ------
    RequestError
        `before` is no calendar of ours, is damaged or holds the days of another case.

    References
    ----------
    RFC 5545, Internet Calendaring and Scheduling (2009): sections 3.6.1 VEVENT, 3.8.4.7 UID,
    3.8.7.2 DTSTAMP, 3.8.7.4 SEQUENCE, 3.8.1.11 STATUS, 3.8.5.3 RRULE, 3.1 folding.
    """
    earlier = {} if before is None else _earlier(before, None if other else printable(name))
    calendar = Calendar()
    calendar.add("prodid", MAKER)
    calendar.add("version", "2.0")
    calendar.add("method", "PUBLISH")
    calendar.add("name", printable(name))
    if record:
        calendar.add("description", printable(record))  # RFC 7986 (2016), 5.2
    for event in events:
        made = _entry(name, event, figures)
        calendar.add_component(_stamped(made, earlier.pop(str(made["uid"]), None), now))
    for gone in earlier.values():
        calendar.add_component(_cancellation(gone, now))
    return bytes(calendar.to_ical())


def _earlier(text: bytes, name: str | None) -> dict[str, Any]:
    """The events of an earlier calendar of ours by UID; where a name is given, of that case."""
    try:
        found = Calendar.from_ical(text)
        maker, case = str(found.get("prodid")), str(found.get("name") or "a case without a name")
    except _DAMAGED as error:
        raise RequestError("--out: the file that is there is no calendar; name another.") from error
    if maker != MAKER:
        raise RequestError("--out: the file that is there is not ours; name another.")
    if name is not None and case != name:
        raise RequestError(
            f"--out: the file that is there holds the days of '{one_line(case)}'; name another, or "
            "say --other-case to strike them all."
        )
    return _by_uid(found.walk("VEVENT"))


def _by_uid(events: Sequence[Any]) -> dict[str, Any]:
    """Events by UID, once every one of them can be compared and handed on."""
    earlier: dict[str, Any] = {}
    for number, event in enumerate(events, 1):
        try:
            whole = _is_whole(event)
        except _DAMAGED:
            whole = False
        if not whole or str(event["uid"]) in earlier:
            raise RequestError(
                f"--out: the file that is there is damaged at its event {number}; name another."
            )
        earlier[str(event["uid"])] = event
    return earlier


def _is_whole(event: Any) -> bool:
    """Whether an event says what all of ours say."""
    said, stamp, sequence = (
        _event_content(event),
        event.decoded("dtstamp"),
        event.decoded("sequence"),
    )
    event.to_ical()
    return (
        bool(str(event["uid"]))
        and not event.errors
        and not event.subcomponents
        and all(type(said[key]) is date for key in ("dtstart", "dtend"))
        and isinstance(stamp, datetime)
        and stamp.tzinfo is not None
        and isinstance(sequence, int)
        and 0 <= sequence <= HIGHEST
    )


def _entry(name: str, event: Event, figures: Figures) -> Entry:
    made = Entry()
    made.add("uid", f"{uuid5(NAMESPACE_URL, f'optioneer:{name}:{event.key}')}")
    made.add("summary", printable(_title(event, figures)))
    made.add("dtstart", event.day)
    made.add("dtend", event.day + timedelta(days=1))
    made.add("description", printable(" ".join(filter(None, (event.detail, CAUTION)))))
    made.add("categories", [event.kind])
    if event.years > 1:
        made.add("rrule", {"freq": "yearly", "count": event.years})
    made.add("transp", "TRANSPARENT")
    made.add("status", "CONFIRMED")
    return made


def _title(event: Event, figures: Figures) -> str:
    if event.cents is None:
        return event.title
    lent = f"The lender pays {figures.cash(event.lent)}" if event.lent else ""
    act = "Receive" if event.cents > 0 else "Pay"
    own = f"{act} {figures.cash(abs(event.cents))}" if event.cents else ""
    return f"{', '.join(filter(None, (own, lent)))}: {event.title}"


def _stamped(made: Entry, old: Any, now: datetime) -> Entry:
    """The event with its stamp: that of the earlier export when it says the same."""
    same = old is not None and _event_content(old) == _event_content(made)
    made.add("dtstamp", old.decoded("dtstamp") if same else now)
    made.add("sequence", old.decoded("sequence") if same else _sequence(old, now))
    return made


def _event_content(event: Any) -> Mapping[str, Any]:
    told = ("summary", "dtstart", "dtend", "description", "status")
    rule = event.get("rrule")
    said = {key: event.decoded(key) for key in told}
    return {**said, "rrule": None if rule is None else rule.to_ical()}


def _sequence(old: Any, now: datetime) -> int:
    count = (now - BEGINNING) // timedelta(minutes=1)
    return max(count, 0) if old is None else max(count, int(old.decoded("sequence")) + 1)


def _cancellation(old: Any, now: datetime) -> Any:
    if str(old["status"]) == "CANCELLED":
        return old
    gone = Entry()
    for key, value in _lasting_items(old):
        gone[key] = value
    gone.add("status", "CANCELLED")
    gone.add("dtstamp", now)
    gone.add("sequence", _sequence(old, now))
    return gone


def _lasting_items(old: Any) -> Iterator[tuple[str, Any]]:
    for key, value in old.items():
        if key.upper() not in {"STATUS", "DTSTAMP", "SEQUENCE"}:
            yield key, value
