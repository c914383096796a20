"""A calendar as text (RFC 5545), with name and refresh interval of RFC 7986."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import icalendar

PRODUCT = "-//Ropeseat//Planned work//EN"
# Not allowed in a text of a calendar (3.1); names and remarks may hold them.
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEvent:
    """One day in the calendar.

    uid : the same for the same work for ever, in no other calendar
    changed_at : when it last changed; sequence : how often
    is_settled : ordered, not only planned
    """

    uid: str
    on: date
    summary: str
    description: str
    location: str
    changed_at: datetime
    sequence: int
    is_settled: bool


def write(*, name: str, events: Sequence[CalendarEvent], refresh_hours: int) -> bytes:
    """Return the calendar as it is sent."""
    calendar = icalendar.Calendar()
    calendar.add("version", "2.0")
    calendar.add("prodid", PRODUCT)
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("name", _printable(name))
    calendar.add(
        "refresh-interval",
        timedelta(hours=refresh_hours),
        parameters={"value": "DURATION"},
    )
    for event in events:
        calendar.add_component(_component(event))
    if not events:
        # A calendar has at least one component (3.6).
        calendar.add_component(_utc())
    return bytes(calendar.to_ical())


def _component(event: CalendarEvent) -> icalendar.Event:
    component = icalendar.Event()
    component.add("uid", event.uid)
    component.add("dtstamp", event.changed_at)
    component.add("last-modified", event.changed_at)
    component.add("sequence", event.sequence)
    component.add("dtstart", event.on)
    # The end is the first day that is no longer of the event (3.6.1).
    component.add("dtend", event.on + timedelta(days=1))
    component.add("summary", _printable(event.summary))
    component.add("description", _printable(event.description))
    if event.location:
        component.add("location", _printable(event.location))
    component.add("status", "CONFIRMED" if event.is_settled else "TENTATIVE")
    component.add("transp", "TRANSPARENT")
    component.add("class", "PRIVATE")
    return component


def _utc() -> icalendar.Timezone:
    zone = icalendar.Timezone()
    zone.add("tzid", "Etc/UTC")
    standard = icalendar.TimezoneStandard()
    standard.add("dtstart", datetime(1970, 1, 1))  # noqa: DTZ001 (local, 3.6.5)
    standard.add("tzoffsetfrom", timedelta(0))
    standard.add("tzoffsetto", timedelta(0))
    zone.add_component(standard)
    return zone


def _printable(text: str) -> str:
    """Return text with one kind of line end and without control characters."""
    return _CONTROL.sub("", text.replace("\r\n", "\n").replace("\r", "\n"))
