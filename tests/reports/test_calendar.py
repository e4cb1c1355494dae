"""The calendar file, read back by its own library and by a second one."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
import vobject
from icalendar import Calendar

from optioneer.errors import RequestError
from optioneer.reports.faces.calendar import calendar_file
from optioneer.study.papers.diary import Event, due_days, reminder
from tests.files.damage import calendar_trial, outcomes
from tests.reports.papers import EUROS, PAYLOADS, hostile, told

NOW = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)
LATER = NOW + timedelta(days=3)
DAYS = (
    Event("milestone order", date(2027, 3, 1), "milestone", "Order the machine"),
    Event("payment a", date(2028, 2, 29), "payment", "deposit (to dealer)", cents=-5_088_000),
    Event("payment b", date(2027, 10, 31), "payment", "rest (to dealer)", cents=0, lent=90_000),
    Event("payment c", date(2028, 3, 26), "payment", "tax saved (from tax office)", cents=12_345),
)


def written(
    events: Sequence[Event] = DAYS, *, now: datetime = NOW, before: bytes | None = None
) -> bytes:
    return calendar_file("demo", events, EUROS, now=now, before=before)


def by_title(text: bytes) -> dict[str, Any]:
    return {str(event["summary"]): event for event in Calendar.from_ical(text).walk("VEVENT")}


def test_a_second_library_reads_the_same_days_and_titles() -> None:
    read = vobject.readOne(written().decode())
    found = {event.summary.value: event.dtstart.value for event in read.vevent_list}
    assert found == {
        "Order the machine": date(2027, 3, 1),
        "Pay €50,880: deposit (to dealer)": date(2028, 2, 29),
        "The lender pays €900: rest (to dealer)": date(2027, 10, 31),
        "Receive €123.45: tax saved (from tax office)": date(2028, 3, 26),
    }


def test_an_event_fills_its_day_and_blocks_nobody() -> None:
    event = by_title(written())["Order the machine"]
    assert event.decoded("dtend") - event.decoded("dtstart") == timedelta(days=1)
    assert str(event["transp"]) == "TRANSPARENT"


def test_writing_it_again_unchanged_changes_no_byte() -> None:
    first = written()
    assert written(now=LATER, before=first) == first


def test_a_moved_day_keeps_its_uid_and_raises_its_sequence() -> None:
    first = written()
    moved = (replace(DAYS[0], day=date(2027, 4, 1)), *DAYS[1:])
    again = written(moved, now=LATER, before=first)
    old, new = by_title(first), by_title(again)
    title = "Order the machine"
    assert new[title]["uid"] == old[title]["uid"]
    assert new[title].decoded("sequence") > old[title].decoded("sequence")
    assert new[title].decoded("dtstamp") == LATER
    others = set(old) - {title}
    assert all(new[other].to_ical() == old[other].to_ical() for other in others)


def test_a_sequence_rises_without_the_earlier_file_and_within_one_minute() -> None:
    first, moved = written(), (replace(DAYS[0], day=date(2027, 4, 1)),)
    title = "Order the machine"
    old = by_title(first)[title].decoded("sequence")
    assert by_title(written(moved, now=LATER))[title].decoded("sequence") > old
    same_minute = written(moved, now=NOW, before=first)
    assert by_title(same_minute)[title].decoded("sequence") == old + 1


def test_what_is_gone_is_handed_on_as_cancelled_once() -> None:
    first = written()
    again = written(DAYS[1:], now=LATER, before=first)
    gone = by_title(again)["Order the machine"]
    assert str(gone["status"]) == "CANCELLED"
    assert gone.decoded("sequence") > by_title(first)["Order the machine"].decoded("sequence")
    assert len(by_title(again)) == len(DAYS)
    assert written(DAYS[1:], now=LATER + timedelta(days=1), before=again) == again
    back = by_title(written(now=LATER + timedelta(days=2), before=again))["Order the machine"]
    assert str(back["status"]) == "CONFIRMED"


def test_the_same_event_of_another_case_has_another_uid() -> None:
    other = calendar_file("other", DAYS, EUROS, now=NOW)
    uids = [{str(e["uid"]) for e in by_title(text).values()} for text in (written(), other)]
    assert uids[0].isdisjoint(uids[1])


@pytest.mark.parametrize("text", [b"Dear diary", b"BEGIN:VCALENDAR\r\nPRODID:x\r\nEND:VCALENDAR"])
def test_a_file_that_is_not_ours_is_not_overwritten(text: bytes) -> None:
    with pytest.raises(RequestError, match="name another"):
        written(before=text)


def test_a_second_case_does_not_strike_the_days_of_the_first_unsaid() -> None:
    first = written()
    with pytest.raises(RequestError, match="holds the days of 'demo'"):
        calendar_file("other", DAYS, EUROS, now=LATER, before=first)
    told = calendar_file("other", DAYS, EUROS, now=LATER, before=first, other=True)
    states = [str(event["status"]) for event in Calendar.from_ical(told).walk("VEVENT")]
    assert states == ["CONFIRMED"] * len(DAYS) + ["CANCELLED"] * len(DAYS)


DAMAGED = {
    "no stamp": (b"DTSTAMP:", b"X-STAMP:"),
    "no date": (b"20270301", b"20279999"),
    "a time for a day": (b"DTSTART;VALUE=DATE:20270301", b"DTSTART:20270301T101010"),
    "no number": (b"SEQUENCE:4", b"SEQUENCE:x"),
    "a number beyond all": (b"SEQUENCE:4", b"SEQUENCE:99999999994"),
    "no status": (b"STATUS:CONFIRMED\r\n", b""),
    "no UID": (b"UID:", b"X-UID:"),
    "an alarm": (b"END:VEVENT", b"BEGIN:VALARM\r\nACTION:AUDIO\r\nEND:VALARM\r\nEND:VEVENT"),
    "no name": (b"NAME:demo\r\n", b""),
    "cut": (b"END:VCALENDAR\r\n", b""),
}


@pytest.mark.parametrize("name", DAMAGED)
def test_a_damaged_calendar_of_ours_is_refused_in_a_sentence(name: str) -> None:
    old, new = DAMAGED[name]
    text = written()
    assert old in text
    with pytest.raises(RequestError, match="name another"):
        written(before=text.replace(old, new, 1), now=LATER)


def test_a_sample_of_damaged_calendars_is_taken_or_refused() -> None:
    found = outcomes(150, 9, calendar_trial(DAYS))
    assert min(found["taken"], found["refused"]) > 0


def test_what_waits_is_looked_at_every_year_from_a_year_after_first_chips() -> None:
    """RFC 5545, 3.8.5.3: as many times as there are years before the horizon; a second library
    counts the same days."""
    case = told().case
    (event,) = reminder(case, ("Rotary table: when work for it is here.",))
    text = written([event])
    (read,) = vobject.readOne(text.decode()).vevent_list
    days = [moment.date() for moment in read.getrruleset(addRDate=True)]
    first = case.dates.first_chips_date
    assert abs((days[0] - first).days - 365) <= 1
    assert len(days) == case.growth.horizon_years - 1
    assert written([event], now=LATER, before=text) == text
    fewer = written([replace(event, years=2)], now=LATER, before=text)
    assert by_title(fewer)[event.title]["sequence"] > by_title(text)[event.title]["sequence"]


def test_with_nothing_waiting_there_is_no_reminder() -> None:
    assert reminder(told().case, ()) == ()


def test_no_line_is_longer_than_75_octets_and_all_end_as_they_must() -> None:
    one = hostile()
    text = calendar_file(one.case.name, due_days(one.case, one.package), EUROS, now=NOW)
    lines = text.split(b"\r\n")
    assert lines[-1] == b""
    assert max(map(len, lines)) <= 75  # RFC 5545, section 3.1
    assert not [line for line in lines if b"\n" in line or b"\r" in line]


def test_hostile_texts_make_no_component_and_no_alarm() -> None:
    one = hostile()
    days = due_days(one.case, one.package)
    text = calendar_file(PAYLOADS[0], days, EUROS, now=NOW)
    kinds = [part.name for part in Calendar.from_ical(text).walk()]
    assert kinds == ["VCALENDAR"] + ["VEVENT"] * len(days)
    assert len(vobject.readOne(text.decode()).vevent_list) == len(days)


def test_every_key_of_a_purchase_is_its_own() -> None:
    one = told()
    days = due_days(one.case, one.package)
    assert len({event.key for event in days}) == len(days)
    assert {event.kind for event in days} == {
        *("milestone", "payment", "order by", "book by", "arrival")
    }
