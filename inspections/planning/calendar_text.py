"""A calendar as text: RFC 5545, written line by line.

Lines end with CRLF and are folded at 75 octets (3.1); text is escaped (3.3.11); moments
are in UTC (3.3.5, form 2), days are dates (3.3.4). A calendar has at least one
component (3.6), so an empty one says which time zone it would be in. Name and refresh
interval are of RFC 7986, 5.1 and 5.7.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

PRODUCT = "-//Ropeseat//Planned work//EN"
FOLD_OCTETS = 75
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f]")
_EMPTY = (
    "BEGIN:VTIMEZONE",
    "TZID:Etc/UTC",
    "BEGIN:STANDARD",
    "DTSTART:19700101T000000",
    "TZOFFSETFROM:+0000",
    "TZOFFSETTO:+0000",
    "END:STANDARD",
    "END:VTIMEZONE",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
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


def write(*, name: str, events: Sequence[Event], refresh_hours: int) -> bytes:
    """Return the calendar as it is sent."""
    lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        f"PRODID:{PRODUCT}",
        "CALSCALE:GREGORIAN",
        "METHOD:PUBLISH",
        f"NAME:{escaped(name)}",
        f"REFRESH-INTERVAL;VALUE=DURATION:PT{refresh_hours}H",
    ]
    for event in events:
        lines += _event(event)
    if not events:
        lines += _EMPTY
    lines.append("END:VCALENDAR")
    return b"".join(folded(line) for line in lines)


def _event(event: Event) -> Iterator[str]:
    yield "BEGIN:VEVENT"
    yield f"UID:{event.uid}"
    yield f"DTSTAMP:{_moment(event.changed_at)}"
    yield f"LAST-MODIFIED:{_moment(event.changed_at)}"
    yield f"SEQUENCE:{event.sequence}"
    yield f"DTSTART;VALUE=DATE:{event.on:%Y%m%d}"
    # The end is the first day that is no longer of the event (3.6.1).
    yield f"DTEND;VALUE=DATE:{event.on + timedelta(days=1):%Y%m%d}"
    yield f"SUMMARY:{escaped(event.summary)}"
    yield f"DESCRIPTION:{escaped(event.description)}"
    if event.location:
        yield f"LOCATION:{escaped(event.location)}"
    yield f"STATUS:{'CONFIRMED' if event.is_settled else 'TENTATIVE'}"
    yield "TRANSP:TRANSPARENT"
    yield "CLASS:PRIVATE"
    yield "END:VEVENT"


def escaped(text: str) -> str:
    """Return text as a TEXT value: marks escaped, control characters left out."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = _CONTROL.sub("", text)
    for mark in ("\\", ";", ","):
        text = text.replace(mark, f"\\{mark}")
    return text.replace("\n", "\\n")


def folded(line: str) -> bytes:
    """Return a line in pieces of at most 75 octets, none of which parts a letter."""
    pieces, piece = [], b""
    for letter in line:
        encoded = letter.encode()
        # The space that begins a further piece counts too.
        if len(piece) + len(encoded) > FOLD_OCTETS:
            pieces.append(piece)
            piece = b" "
        piece += encoded
    return b"\r\n".join([*pieces, piece]) + b"\r\n"


def _moment(at: datetime) -> str:
    return f"{at.astimezone(UTC):%Y%m%dT%H%M%SZ}"
