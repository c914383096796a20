"""Which readings and findings ask for action at once."""

from collections.abc import Iterable, Sequence
from datetime import datetime, timedelta

from django.db.models import Q

from fleet.platform.database.tenancy import Scope
from inspections.kinds import KINDS, Kind
from inspections.kinds.bands import Acts, Band, bands, broken
from inspections.models import (
    Assessment,
    Cause,
    Finding,
    Reading,
    ReadingState,
    StopEvent,
    StopEventKind,
    UrgentMail,
)
from inspections.stops import claims

# The office reads of a reading when it comes in; of what is older it is told again.
TOLD_LATELY = timedelta(days=1)


def acts_at_once(
    *, kind: Kind, state: str, value: float | None, word: str | None
) -> bool:
    """Tell whether a stored reading asks for action before anything is calculated.

    True outside the usual band on the unsafe side, for a word such as "defect", and
    for a number that stops the machine.
    """
    if state == ReadingState.UNCONFIRMED:
        return True
    found = _broken(kind, value, word)
    return any(band.acts in (Acts.TELL, Acts.STOP) for band in found)


def is_stopping(
    *, kind: Kind, value: float | None = None, word: str | None = None
) -> bool:
    """Tell whether a reading takes the machine out of service at once."""
    return any(band.acts is Acts.STOP for band in _broken(kind, value, word))


def _broken(kind: Kind, value: float | None, word: str | None) -> tuple[Band, ...]:
    # What is told or stops is no multiple of a rope's diameter.
    return broken(bands(kind=kind, rope_diameter_mm=None), value=value, word=word)


def readings_of(*, scope: Scope, upload_id: int) -> Sequence[Reading]:
    """Return the readings of one upload that act at once, machine by machine."""
    able = [
        kind.code
        for kind in KINDS.values()
        if kind.unsafe_words or kind.stops_at_or_below is not None
    ]
    rows = (
        Reading.objects.within(scope)
        .filter(Q(state=ReadingState.UNCONFIRMED) | Q(kind__in=able), upload=upload_id)
        .select_related("machine__building", "groove", "rope", "gauge")
        .order_by("machine__code", "machine_id", "taken_at", "pk")
    )
    return [row for row in rows.iterator(chunk_size=1000) if _acts(row)]


def newly_stopping(*, scope: Scope, machine_ids: Iterable[int]) -> list[int]:
    """Return the standing assessments that newly take their machine out of service.

    Those that were mailed already are left out.
    """
    rows = Finding.objects.within(scope).filter(
        machine__in=list(machine_ids), current=True, stops_service=True
    )
    ids = rows.filter(assessment__urgent_mails=None).values_list("assessment_id")
    standing = sorted({pk for (pk,) in ids} - _told_with_others(scope))
    return [pk for pk in standing if findings_of(scope=scope, assessment_id=pk)]


def _told_with_others(scope: Scope) -> set[int]:
    """Return the assessments that a mail on another told of too."""
    rows = UrgentMail.objects.within(scope).exclude(further=None)
    return {pk for ids in rows.values_list("further", flat=True) for pk in ids or ()}


def by_rules(*, scope: Scope, assessment_ids: Iterable[int]) -> list[int]:
    """Return those of some assessments that only corrected rules gave cause for."""
    rows = Assessment.objects.within(scope).filter(
        pk__in=list(assessment_ids), cause=Cause.RULES
    )
    return list(rows.order_by("pk").values_list("pk", flat=True))


def stopped_by_rules(*, scope: Scope) -> set[int]:
    """Return the machines whose standing assessment has no other cause, and stops."""
    rows = Finding.objects.within(scope).filter(
        current=True, stops_service=True, assessment__cause=Cause.RULES
    )
    return set(rows.values_list("machine_id", flat=True))


def findings_of(*, scope: Scope, assessment_id: int) -> list[Finding]:
    """Return the findings of an assessment that newly stop its machine, or worse.

    Not what stands at the same place already, and not what rests on a reading that
    acted at once by itself: that was told when it came in, not long before.
    """
    rows = Finding.objects.within(scope).filter(
        assessment=assessment_id, stops_service=True
    )
    found = list(rows.select_related("machine__building", "assessment").order_by("pk"))
    if not found:
        return []
    kinds = {StopEventKind.RAISED, StopEventKind.WORSENED}
    if found[0].assessment.cause == Cause.RULES:
        # A stop that stood is no worse because a limit was corrected.
        kinds = {StopEventKind.RAISED}
    news = StopEvent.objects.within(scope).filter(finding__in=found, kind__in=kinds)
    new = set(news.values_list("stop__cause", "stop__place_key"))
    told = _told_by_reading(
        scope,
        [pk for row in found for pk in row.readings],
        since=found[0].assessment.as_of - TOLD_LATELY,
    )
    return [
        row
        for row in found
        if claims.of_finding(row).key[1:] in new and told.isdisjoint(row.readings)
    ]


def news_of(*, scope: Scope, readings: Sequence[Reading], upload_id: int) -> bool:
    """Tell whether an upload's acting readings say what was not told already.

    What repeats an open stop, and is no worse, was told.
    """
    if any(not is_stopping_row(row) for row in readings):
        return True
    events = StopEvent.objects.within(scope).filter(upload=upload_id)
    return events.exclude(kind=StopEventKind.REPEATED).exists()


def is_stopping_row(row: Reading) -> bool:
    """Tell whether a stored reading takes its machine out of service by itself."""
    kind = KINDS.get(row.kind)
    return kind is not None and is_stopping(kind=kind, value=row.value, word=row.word)


def _told_by_reading(scope: Scope, ids: Sequence[int], *, since: datetime) -> set[int]:
    rows = Reading.objects.within(scope).filter(pk__in=ids, received_at__gte=since)
    return {row.pk for row in rows if _acts(row)}


def _acts(row: Reading) -> bool:
    kind = KINDS.get(row.kind)
    if kind is None:
        return row.state == ReadingState.UNCONFIRMED
    return acts_at_once(kind=kind, state=row.state, value=row.value, word=row.word)
