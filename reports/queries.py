"""What a report is made from; reads only, a constant number of queries."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from fleet.models import Building, Machine, Owner
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from fleet.register import people
from inspections import inputs, queries
from inspections.decisions.records import Comparison
from inspections.forecasts import pulleys, series
from inspections.forecasts.series import WearSeries
from inspections.inputs import Snapshot
from inspections.models import (
    OPEN_STATES,
    Assessment,
    Finding,
    Forecast,
    OptionSet,
    PlannedWork,
    Reading,
    ReadingState,
    Scenario,
    Stop,
    VisitPhoto,
)
from inspections.planning import answering, comparing


@dataclass(frozen=True, slots=True, kw_only=True)
class Answered:
    """What the owner said last to a kind of work; it is no order."""

    kind: str
    words: str
    by: str
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class MachineRecord:
    """Everything known of one machine at a moment."""

    snapshot: Snapshot
    assessment: Assessment | None
    findings: tuple[Finding, ...]
    forecasts: tuple[Forecast, ...]
    series: tuple[WearSeries, ...]
    readings: dict[int, Reading]
    options: OptionSet | None = None
    planned: tuple[PlannedWork, ...] = ()
    stops: tuple[Stop, ...] = ()
    answers: tuple[Answered, ...] = ()
    photos: tuple[VisitPhoto, ...] = ()
    held: tuple[Reading, ...] = ()
    # Only where it was asked for, and where measuring first can be weighed.
    compared: Comparison | None = None

    @property
    def machine(self) -> Machine:
        return self.snapshot.machine


def buildings_of(
    *, scope: Scope, owner: Owner | None, building: Building | None
) -> Sequence[Building]:
    """Return the buildings a report is about."""
    if building is not None:
        return [building]
    rows = Building.objects.within(scope).filter(owner=owner, retired_on=None)
    return list(rows.order_by("name", "pk"))


def facts_of(
    *, scope: Scope, buildings: Sequence[Building], as_of: datetime
) -> list[MachineRecord]:
    """Return the facts of every machine in service in the buildings."""
    ids = list(
        queries.active_machines(scope=scope)
        .filter(building__in=buildings)
        .order_by("building__name", "code", "pk")
        .values_list("pk", flat=True)
    )
    return _facts(scope=scope, ids=ids, as_of=as_of)


def facts_of_machine(
    *, scope: Scope, machine_id: int | None, as_of: datetime
) -> MachineRecord:
    """Return the facts of one machine. Raises NotFound."""
    found = _facts(scope=scope, ids=[machine_id or 0], as_of=as_of)
    if not found:
        raise NotFound("no such machine")
    return found[0]


def with_measuring(
    facts: Sequence[MachineRecord], *, scope: Scope, as_of: datetime
) -> list[MachineRecord]:
    """Return the facts, with options followed over years where a value blurs a date.

    A constant number of queries, however many machines have such a date.
    """
    blurred = [
        each.snapshot
        for each in facts
        if any(f.measure_first and f.limit_share for f in each.forecasts)
    ]
    found = comparing.of_snapshots(scope=scope, snapshots=blurred, now=as_of)
    compared = {
        snapshot.machine.pk: each.comparison
        for snapshot, each in zip(blurred, found, strict=True)
    }
    return [replace(each, compared=compared.get(each.machine.pk)) for each in facts]


def people_of(*, scope: Scope, membership_ids: Iterable[int]) -> dict[int, str]:
    """Return members' names by the id of their membership."""
    return people.names_of(scope=scope, ids=membership_ids)


def people_of_stops(*, scope: Scope, stops: Iterable[Stop]) -> dict[int, str]:
    """Return the names of who was told of stops, or has acknowledged them."""
    return people_of(scope=scope, membership_ids=members_of_stops(stops))


def members_of_stops(stops: Iterable[Stop]) -> set[int]:
    """Return the memberships of who was told of stops, or has acknowledged them."""
    ids = set()
    for stop in stops:
        ids.add(stop.acknowledged_by or 0)
        ids.update(pk for event in stop.events.all() for pk in event.told)
    return ids


def shared_scenarios(
    *, scope: Scope, machine_ids: Iterable[int]
) -> dict[int, list[Scenario]]:
    """Return what the contractor shows the owner of changes tried, the newest first."""
    rows = Scenario.objects.within(scope).filter(
        machine__in=list(machine_ids), shared_with_owner=True
    )
    found: dict[int, list[Scenario]] = defaultdict(list)
    for row in rows.order_by("-pk"):
        found[row.machine_id].append(row)
    return found


def causes_since(
    *, scope: Scope, machine_ids: Iterable[int], since: datetime
) -> dict[int, set[str]]:
    """Return why each machine was judged anew after a moment, by its id."""
    rows = Assessment.objects.within(scope).filter(
        machine__in=list(machine_ids), as_of__gt=since
    )
    found: dict[int, set[str]] = defaultdict(set)
    for machine_id, cause in rows.values_list("machine_id", "cause"):
        found[machine_id].add(cause)
    return found


def stops_ended(
    *, scope: Scope, machine_ids: Iterable[int], since: datetime
) -> list[Stop]:
    """Return the stops of machines that ended after a moment, the first first."""
    rows = Stop.objects.within(scope).filter(
        machine__in=list(machine_ids), released_at__gt=since
    )
    rows = rows.select_related("machine", "groove", "rope")
    return list(rows.order_by("released_at", "pk"))


def _facts(*, scope: Scope, ids: Sequence[int], as_of: datetime) -> list[MachineRecord]:
    assessments = {
        a.machine_id: a
        for a in queries.latest_assessments(scope=scope).filter(machine__in=ids)
    }
    findings: dict[int, list[Finding]] = defaultdict(list)
    for finding in queries.current_findings(scope=scope).filter(machine__in=ids):
        findings[finding.machine_id].append(finding)
    forecasts: dict[int, list[Forecast]] = defaultdict(list)
    current = queries.current_forecasts(scope=scope).select_related("groove")
    for forecast in current.filter(machine__in=ids):
        forecasts[forecast.machine_id].append(forecast)
    limits = defaultdict(list)
    for limit in queries.wear_limits(scope=scope, machine_ids=ids):
        limits[limit.machine_id].append(limit)
    options = {
        row.machine_id: row
        for row in OptionSet.objects.within(scope).filter(machine__in=ids)
    }
    planned: dict[int, list[PlannedWork]] = defaultdict(list)
    for row in PlannedWork.objects.within(scope).filter(
        machine__in=ids, state__in=OPEN_STATES
    ):
        planned[row.machine_id].append(row)
    stops: dict[int, list[Stop]] = defaultdict(list)
    for stop in queries.open_stops(scope=scope, machine_ids=ids).prefetch_related(
        "events"
    ):
        stops[stop.machine_id].append(stop)
    answers = _answers(scope, ids)
    photos = _photos(scope, ids, as_of)
    held = _held(scope, ids)
    snapshots = {
        s.machine.pk: s for s in inputs.load(scope=scope, machine_ids=ids, as_of=as_of)
    }
    return [
        MachineRecord(
            snapshot=snapshots[pk],
            assessment=assessments.get(pk),
            findings=tuple(findings[pk]),
            forecasts=tuple(forecasts[pk]),
            series=(
                *series.of_machine(snapshots[pk], limits=limits[pk]),
                *pulleys.of_machine(snapshots[pk], limits=limits[pk]),
            ),
            readings={r.pk: r for r in snapshots[pk].readings},
            options=options.get(pk),
            planned=tuple(sorted(planned[pk], key=lambda row: row.pk)),
            stops=tuple(stops[pk]),
            answers=tuple(answers[pk]),
            photos=tuple(photos[pk]),
            held=tuple(held[pk]),
        )
        for pk in ids
        if pk in snapshots
    ]


def _held(scope: Scope, ids: Sequence[int]) -> dict[int, list[Reading]]:
    """Return the readings that wait for a word and are not used, by machine."""
    rows = queries.readings_to_confirm(scope=scope).filter(
        machine__in=ids, state=ReadingState.HELD
    )
    found: dict[int, list[Reading]] = defaultdict(list)
    for row in rows.select_related("rope", "groove", "visit").order_by("pk"):
        found[row.machine_id].append(row)
    return found


def _photos(
    scope: Scope, ids: Sequence[int], as_of: datetime
) -> dict[int, list[VisitPhoto]]:
    """Return the photos of each machine, the newest visit's first."""
    rows = VisitPhoto.objects.within(scope).filter(
        machine__in=ids, visit__visited_at__lte=as_of
    )
    found: dict[int, list[VisitPhoto]] = defaultdict(list)
    for row in rows.select_related("visit").order_by("-visit__visited_at", "pk"):
        found[row.machine_id].append(row)
    return found


def _answers(scope: Scope, ids: Sequence[int]) -> dict[int, list[Answered]]:
    rows = answering.latest(scope=scope, machine_ids=ids).values()
    names = people.names_of(scope=scope, ids={row.membership_id for row in rows})
    found: dict[int, list[Answered]] = defaultdict(list)
    for row in rows:
        found[row.machine_id].append(
            Answered(
                kind=row.kind,
                words=row.get_answer_display(),
                by=names.get(row.membership_id, ""),
                at=row.answered_at,
            )
        )
    return found
