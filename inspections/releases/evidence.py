"""Which readings speak of a stop's cause at its place, and which are in order."""

import re
from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.kinds import KINDS
from inspections.models import Finding, Reading, ReadingState, Stop, StopPlace
from inspections.releases.problems import NotJudgedAnew, StillStops
from inspections.stops import causes, claims

_NUMBER = re.compile(r"\d+")
_SAYS_NOTHING = "not seen"


def last_read_at(*, scope: Scope, stop: Stop) -> datetime:
    """Return when the last reading was taken that a stop rests on.

    A stop that rests on none, but on the register alone, counts from its beginning.
    """
    rows = Reading.objects.within(scope).filter(pk__in=stop.readings)
    taken: list[datetime] = list(rows.values_list("taken_at", flat=True))
    return max(taken, default=stop.since)


def day_of(*, stop: Stop, moment: datetime) -> date:
    """Return a moment's day by the building's clock."""
    zone = ZoneInfo(stop.machine.building.time_zone)
    return moment.astimezone(zone).date()


def first_day_of_work(*, scope: Scope, stop: Stop) -> date:
    """Return the day from which work answers a stop: that of its last reading."""
    return day_of(stop=stop, moment=last_read_at(scope=scope, stop=stop))


def good_since(
    *, scope: Scope, stop: Stop, after: datetime, now: datetime
) -> Sequence[Reading]:
    """Return what was read in order of the cause, at its place, after a moment.

    Who corrects what another has read has not looked again, nor has who tried another
    case of a test than that which failed.
    """
    rows = queries.usable_readings(
        scope=scope, machine_ids=[stop.machine_id], until=now
    ).filter(taken_at__gt=after, corrects=None)
    kinds = causes.RULES[stop.cause].reads
    if kinds:
        rows = rows.filter(kind__in=kinds)
    found = [row for row in rows if is_there(stop, row) and is_good(row)]
    return in_each_case(scope=scope, stop=stop, read=found)


def in_each_case(
    *, scope: Scope, stop: Stop, read: Sequence[Reading]
) -> Sequence[Reading]:
    """Return what was read in the cases of a test that have failed; none if one lacks.

    What a stop without such cases is read by stays as it is.
    """
    failed = {
        row.place["case"]
        for row in Reading.objects.within(scope).filter(pk__in=stop.readings)
        if "case" in row.place and not is_good(row)
    }
    if not failed:
        return read
    found = [row for row in read if row.place.get("case") in failed]
    return found if failed == {row.place["case"] for row in found} else []


def is_there(stop: Stop, row: Reading) -> bool:
    """Tell whether a reading was taken where the stop is: numbers outlive parts."""
    if stop.place_kind == StopPlace.MACHINE:
        return True
    if stop.place_kind == StopPlace.PART:
        return bool(row.place.get("part") == stop.place_key)
    part = row.groove or row.rope
    numbers = {int(each) for each in _NUMBER.findall(stop.place)}
    return part is not None and part.number in numbers


def is_good(row: Reading) -> bool:
    """Tell whether a reading says that nothing is wrong, and nobody doubts it."""
    kind = KINDS.get(row.kind)
    if kind is None or row.state == ReadingState.UNCONFIRMED:
        return False
    if kind.is_worded:
        return row.word not in (*kind.unsafe_words, _SAYS_NOTHING)
    limit = kind.stops_at_or_below
    return limit is None or (row.value is not None and row.value > limit)


def check_judged(*, scope: Scope, stop: Stop, read: Sequence[Reading]) -> None:
    """Raise NotJudgedAnew or StillStops by the machine's standing assessment.

    What rests on nothing but what was read before the work was read as left is old,
    and is what the work answers.
    """
    latest = queries.latest_assessments(scope=scope).filter(machine=stop.machine_id)
    inputs = latest.values_list("inputs__rows__readings", flat=True).first()
    if not {row.pk for row in read} <= set(inputs or ()):
        raise NotJudgedAnew
    standing = Finding.objects.within(scope).filter(
        machine=stop.machine_id, current=True, stops_service=True
    )
    first_left_at = min(row.taken_at for row in read)
    later = set(
        Reading.objects.within(scope)
        .filter(machine=stop.machine_id, taken_at__gte=first_left_at)
        .values_list("pk", flat=True)
    )
    for row in standing.select_related("assessment"):
        claim = claims.of_finding(row)
        is_same = claim.cause == stop.cause and claim.place == stop.place
        if is_same and (not row.readings or later & set(row.readings)):
            raise StillStops
