"""Series into rows: worked out when readings or register change, read every night."""

from collections.abc import Iterator, Sequence
from datetime import date, datetime

from fleet.platform.database.tenancy import Scope
from inspections import inputs, queries, versions
from inspections.forecasts import breaks, history, pulleys, series
from inspections.forecasts.series import WearSeries
from inspections.inputs import Snapshot
from inspections.models import TrackPoint, WearLimit, WearTrack

# Tracks of an older version are made anew by the next nightly run.
PREPARED_BY = versions.SERIES

Key = tuple[int, str, str, date]
Dated = list[tuple[WearSeries, date | None]]


def prepare(*, scope: Scope, machine_ids: Sequence[int], as_of: datetime) -> None:
    """Store the series of machines, those of earlier parts with the day they ended."""
    limits: dict[int, list[WearLimit]] = {}
    for limit in queries.wear_limits(scope=scope, machine_ids=machine_ids):
        limits.setdefault(limit.machine_id, []).append(limit)
    found: dict[Key, tuple[WearSeries, date | None]] = {}
    ends = history.ends_of_parts(scope=scope, machine_ids=machine_ids, as_of=as_of)
    for day, machines in ends.items():
        before = history.snapshots_before(scope=scope, machine_ids=machines, day=day)
        for snapshot in before:
            for one in _series(snapshot, limits):
                found[_key(one)] = (one, day)
    for snapshot in inputs.load(scope=scope, machine_ids=machine_ids, as_of=as_of):
        for one in _series(snapshot, limits):
            found[_key(one)] = (one, None)
    _store(scope, machine_ids, list(found.values()), as_of)


def _series(
    snapshot: Snapshot, limits: dict[int, list[WearLimit]]
) -> Iterator[WearSeries]:
    of_machine = limits.get(snapshot.machine.pk, [])
    yield from series.of_machine(snapshot, limits=of_machine)
    yield from pulleys.of_machine(snapshot, limits=of_machine)
    yield from breaks.of_machine(snapshot)


def _key(one: WearSeries) -> Key:
    return (one.machine_id, one.quantity, one.place, one.begun_on)


def _store(
    scope: Scope, machine_ids: Sequence[int], found: Dated, as_of: datetime
) -> None:
    """Replace the tracks of machines; one that is no longer made is closed."""
    standing = WearTrack.objects.within(scope).filter(machine__in=machine_ids)
    rows = WearTrack.objects.bulk_create(
        [_track(scope, one, closed) for one, closed in found],
        update_conflicts=True,
        unique_fields=["machine", "quantity", "place", "begun_on"],
        update_fields=_UPDATED,
    )
    made = [row.pk for row in rows]
    standing.filter(closed_on=None).exclude(pk__in=made).update(
        closed_on=as_of.date(), prepared_by=PREPARED_BY
    )
    points = TrackPoint.objects.within(scope).filter(track__in=made)
    # Straight to the table: points have nothing that hangs on them.
    points._raw_delete(points.db)
    TrackPoint.objects.bulk_create(
        (
            point
            for row, (one, _) in zip(rows, found, strict=True)
            for point in _points(scope, row.pk, one)
        ),
        batch_size=2000,
    )


_UPDATED = [
    "groove",
    "rope",
    "class_name",
    "closed_on",
    "tolerance",
    "limit_level",
    "limit_sd",
    "layer",
    "limit_reason",
    "limit_dominated_by",
    "safety",
    "shown_from",
    "falls",
    "readings",
    "prepared_by",
]


def _track(scope: Scope, one: WearSeries, closed_on: date | None) -> WearTrack:
    limit = one.limit
    return WearTrack(
        contractor_id=scope.contractor_id,
        machine_id=one.machine_id,
        groove_id=one.groove_id,
        rope_id=one.rope_id,
        quantity=one.quantity,
        place=one.place,
        class_name=one.class_name,
        begun_on=one.begun_on,
        closed_on=closed_on,
        tolerance=one.tolerance_mm,
        limit_level=one.limit_level_mm,
        limit_sd=one.limit_sd_mm,
        layer=one.layer_mm,
        limit_reason=limit.reason if limit else "",
        limit_dominated_by=limit.dominated_by if limit else "",
        safety=limit.safety if limit else False,
        shown_from=one.shown_from_mm,
        falls=one.falls,
        readings=sorted({pk for point in one.points for pk in point.readings}),
        prepared_by=PREPARED_BY,
    )


def _points(scope: Scope, track_id: int, one: WearSeries) -> Iterator[TrackPoint]:
    for point in one.points:
        yield TrackPoint(
            contractor_id=scope.contractor_id,
            track_id=track_id,
            machine_id=one.machine_id,
            visit_id=point.visit_id,
            taken_at=point.taken_at,
            level=point.level_mm,
            sd=point.sd_mm,
            confirmed=point.confirmed,
            at_least=point.at_least,
            counts_as=point.counts_as_mm,
            readings=list(point.readings),
        )
