"""Raise stops in the transaction of what says so; a repeat is added to the open one."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from datetime import datetime

from django.db.models import QuerySet

from fleet.platform.database.tenancy import Scope
from inspections import corrections, states
from inspections.models import (
    Finding,
    Reading,
    Release,
    Stop,
    StopBasis,
    StopEvent,
    StopEventKind,
)
from inspections.stops import claims as asked
from inspections.stops import escalating, holding, lines
from inspections.stops.claims import Claim

# Worse by more than this share of the limit is told again; our rule, no source.
WORSE_SHARE = 0.05
# These answer what they rest on. What ended with its version or set, or with the
# machine's retirement, is news when it comes back. What was refuted is set aside: what
# is found without it stands.
_ANSWERS = (Release.WORK, Release.MOVED)


def of_upload(
    *, scope: Scope, readings: Sequence[Reading], upload_id: int, now: datetime
) -> Sequence[Stop]:
    """Raise the stops of readings that take their machine out of service at once."""
    claims = [asked.of_reading(row, upload_id=upload_id) for row in readings]
    return raise_all(scope=scope, claims=claims, now=now)


def of_assessments(
    *, scope: Scope, assessment_ids: Sequence[int], now: datetime
) -> Sequence[Stop]:
    """Raise the stops of assessments' findings that take their machine out of service.

    Call it in the transaction that stores the findings.
    """
    return of_findings(
        scope=scope,
        rows=Finding.objects.within(scope).filter(
            assessment__in=assessment_ids, stops_service=True
        ),
        now=now,
    )


def of_findings(
    *, scope: Scope, rows: QuerySet[Finding], now: datetime, taken_over: bool = False
) -> Sequence[Stop]:
    """Raise the stops of findings; what is taken over from earlier mails nobody."""
    found = rows.select_related("assessment").order_by("pk")
    kind = StopEventKind.TAKEN_OVER if taken_over else StopEventKind.RAISED
    return raise_all(
        scope=scope,
        claims=[asked.of_finding(row) for row in found],
        now=now,
        kind=kind,
    )


def raise_all(
    *,
    scope: Scope,
    claims: Iterable[Claim],
    now: datetime,
    kind: StopEventKind = StopEventKind.RAISED,
) -> Sequence[Stop]:
    """Return the open stops of what is claimed, raised where there were none.

    What rests on nothing but what work has answered is not raised again, unless it is
    worse; nor is what rests on readings that were set aside meanwhile.
    """
    said = asked.merged(claims)
    # Before it is asked what was answered: of a release that is being written, its end
    # is waited for.
    holding.hold(scope=scope, machine_ids=[claim.machine_id for claim in said])
    wanted = _unanswered(scope, said)
    if not wanted:
        return []
    Stop.objects.bulk_create(
        (_new(scope, claim) for claim in wanted), ignore_conflicts=True
    )
    rows = (
        Stop.objects.within(scope)
        .filter(
            machine__in={claim.machine_id for claim in wanted},
            place_key__in={claim.place_key for claim in wanted},
            released_at=None,
        )
        .order_by("pk")
        .select_for_update()
    )
    stops = {(row.machine_id, row.cause, row.place_key): row for row in rows}
    started = set(
        StopEvent.objects.within(scope)
        .filter(stop__in=list(stops.values()))
        .values_list("stop_id", flat=True)
    )
    events = []
    for claim in wanted:
        stop = stops[claim.key]
        if stop.pk not in started:
            events.append(_event(stop, claim, kind=kind, now=now))
        elif (repeat := _repeated(stop, claim)) is not None:
            events.append(_event(stop, claim, kind=repeat, now=now))
            stop.save()
    StopEvent.objects.bulk_create(events)
    news = (StopEventKind.RAISED, StopEventKind.WORSENED)
    escalating.order(
        scope=scope, stop_ids={e.stop_id for e in events if e.kind in news}, now=now
    )
    machine_ids = {claim.machine_id for claim in wanted}
    lines.head(scope=scope, machine_ids=machine_ids)
    states.refresh(scope=scope, today=now.date(), machine_ids=sorted(machine_ids))
    return [stops[claim.key] for claim in wanted]


def _unanswered(scope: Scope, claims: Sequence[Claim]) -> Sequence[Claim]:
    """Return the claims that no release of the same cause and place has answered."""
    claims = _standing(scope, claims)
    if not claims:
        return claims
    released: Mapping[tuple[int, str, str], list[Stop]] = defaultdict(list)
    for row in Stop.objects.within(scope).filter(
        machine__in={claim.machine_id for claim in claims}, release__in=_ANSWERS
    ):
        released[row.machine_id, row.cause, row.place_key].append(row)
    taken_at = _moments(
        scope, claims, [row for rows in released.values() for row in rows]
    )
    return [
        claim
        for claim in claims
        if not any(_answers(row, claim, taken_at) for row in released[claim.key])
    ]


def _standing(scope: Scope, claims: Sequence[Claim]) -> Sequence[Claim]:
    """Return the claims without those on readings that were set aside meanwhile."""
    ids = {pk for claim in claims for pk in claim.readings}
    words = corrections.last_words(scope=scope, ids=ids)
    aside = {pk for pk, accepted in words.items() if not accepted}
    return [claim for claim in claims if aside.isdisjoint(claim.readings)]


def _moments(
    scope: Scope, claims: Sequence[Claim], released: Sequence[Stop]
) -> Mapping[int, datetime]:
    """Return when readings of claims, and those that released stops, were taken."""
    if not released:
        return {}
    ids = {pk for claim in claims for pk in claim.readings}
    ids |= {pk for row in released for pk in row.release_readings}
    rows = Reading.objects.within(scope).filter(pk__in=ids)
    return dict(rows.values_list("pk", "taken_at"))


def _answers(released: Stop, claim: Claim, taken_at: Mapping[int, datetime]) -> bool:
    """Tell whether a release has answered all that a claim rests on.

    Work that was read as left and accepted ends whatever was read before that.
    """
    if not claim.readings:
        return False
    is_old = set(claim.readings) <= set(released.readings)
    left = [taken_at[pk] for pk in released.release_readings if pk in taken_at]
    if released.release == Release.WORK and left:
        is_old = is_old or all(
            pk in taken_at and taken_at[pk] < min(left) for pk in claim.readings
        )
    return is_old and not _is_worse(claim.margin_ratio, than=released.margin_ratio)


def _new(scope: Scope, claim: Claim) -> Stop:
    return Stop(
        contractor_id=scope.contractor_id,
        machine_id=claim.machine_id,
        cause=claim.cause,
        place_kind=claim.place_kind,
        place_key=claim.place_key[:130],
        place=claim.place[:80],
        groove_id=claim.groove_id,
        rope_id=claim.rope_id,
        basis=claim.basis,
        since=claim.since,
        readings=sorted(claim.readings),
        finding_id=claim.finding_id,
        criteria_set=claim.criteria_set,
        kernel_version=claim.kernel_version,
        value=claim.value,
        limit=claim.limit,
        unit=claim.unit,
        margin_ratio=claim.margin_ratio,
    )


def _repeated(stop: Stop, claim: Claim) -> StopEventKind | None:
    """Add a claim to the open stop; None where it says nothing new."""
    is_worse = _is_worse(claim.margin_ratio, than=stop.margin_ratio)
    is_new = not set(claim.readings) <= set(stop.readings)
    is_seen = claim.basis == StopBasis.OBSERVED and stop.basis != StopBasis.OBSERVED
    if not (is_worse or is_new or is_seen):
        return None
    stop.readings = sorted({*stop.readings, *claim.readings})
    stop.since = min(stop.since, claim.since)
    stop.version += 1
    if is_seen:
        stop.basis = StopBasis.OBSERVED
    if claim.finding_id is not None:
        stop.finding_id = claim.finding_id
    if stop.margin_ratio is None or is_worse:
        stop.margin_ratio = claim.margin_ratio
        stop.value, stop.limit, stop.unit = claim.value, claim.limit, claim.unit
    if not is_worse:
        return StopEventKind.REPEATED
    # Who has heard of it has not heard of this.
    stop.acknowledged_at = stop.acknowledged_by = None
    return StopEventKind.WORSENED


def _is_worse(ratio: float | None, *, than: float | None) -> bool:
    return ratio is not None and than is not None and ratio < than - WORSE_SHARE


def _event(
    stop: Stop, claim: Claim, *, kind: StopEventKind, now: datetime
) -> StopEvent:
    return StopEvent(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=kind,
        at=now,
        readings=sorted(claim.readings),
        upload_id=claim.upload_id,
        finding_id=claim.finding_id,
        margin_ratio=claim.margin_ratio,
    )
