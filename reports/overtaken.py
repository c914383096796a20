"""What a document does not say because it came later, told beside it.

A document is frozen: what is read afterwards is in the next one. But a draft is
released today, and an issued one is taken for what is: that a machine stands by now, or
that what was read was of another machine, must not be left unsaid.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.db.models import Max, Q, QuerySet

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections.models import (
    Reading,
    ReadingReview,
    ReadingState,
    Stop,
    StopEventKind,
)
from reports.models import Report, ReportKind, ReportState

# What was under way when a document was asked for bears an earlier time, and may not be
# in it; our rule, no source. All times are the database's, of one clock.
_UNDER_WAY = timedelta(seconds=2)
_STANDS = (StopEventKind.RAISED, StopEventKind.REOPENED)

# What keeps an issued document from being mailed as news; our rule, no source. Owners
# act on the first two. An order is for a machine that may stand, and rests on readings.
# A review goes to the contractor's own, and of a large estate something is corrected
# every day. A field sheet only says what is to be read.
_STOPS_COUNT = (
    ReportKind.CONDITION_REPORT,
    ReportKind.RETURN_TO_SERVICE,
    ReportKind.PORTFOLIO_REVIEW,
)
_READINGS_COUNT = (
    ReportKind.CONDITION_REPORT,
    ReportKind.RETURN_TO_SERVICE,
    ReportKind.REGROOVE_ORDER,
    ReportKind.ROPE_ORDER,
)
_OF_ITS_PLACE = ("machine_id", "machine__building_id", "machine__building__owner_id")
_AT_ONCE = 5_000


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """What came after a document was asked for.

    kind, state : what kind of document it is, and how far
    stops : open stops of its machines, raised or opened again since; not of machines
        that it names as out of service itself
    readings : how many earlier readings were set aside, moved or corrected since
    replaced_by : the latest issued revision on the same place and period
    """

    kind: str
    state: str
    stops: tuple[Stop, ...] = ()
    readings: int = 0
    replaced_by: Report | None = None

    def __bool__(self) -> bool:
        return bool(self.stops or self.readings or self.replaced_by)

    @property
    def machines(self) -> tuple[Machine, ...]:
        """The machines that stand, each once."""
        return tuple({stop.machine_id: stop.machine for stop in self.stops}.values())

    @property
    def is_wrong(self) -> bool:
        """Whether it would say what is not so by now."""
        return bool(self.stops or self.readings)

    @property
    def may_be_mailed(self) -> bool:
        """Whether it can still be mailed as what is."""
        stands = self.stops and self.kind in _STOPS_COUNT
        rests = self.readings and self.kind in _READINGS_COUNT
        return not (stands or rests)

    @property
    def in_words(self) -> str:
        """What came since, in English, in one line."""
        codes = [machine.code for machine in self.machines]
        told = [f"out of service since: {', '.join(codes)}"] if codes else []
        if self.readings:
            told.append(
                f"readings set aside, moved or corrected since: {self.readings}"
            )
        return f"{'; '.join(told)}; ask for it anew"


def of(*, scope: Scope, report: Report) -> Overtaken:
    """Return what a draft or an issued document does not say."""
    found = of_each(scope=scope, reports=[report])[report.pk]
    return Overtaken(
        kind=found.kind,
        state=found.state,
        stops=found.stops,
        readings=found.readings,
        replaced_by=_replaced_by(scope, report),
    )


def of_each(*, scope: Scope, reports: Sequence[Report]) -> dict[int, Overtaken]:
    """Return the same of many documents, by four statements; none tells its successor.

    Their `content` may be deferred: what is read of it is read at once.
    """
    if not reports:
        return {}
    since = min(report.created_at for report in reports) - _UNDER_WAY
    machines = _machines(scope, reports)
    stops = list(_stops(scope, machines, since))
    readings = list(_readings(scope, machines, since))
    later = {
        report.pk: [stop for stop in stops if _is_later(report, stop.machine, stop.at)]
        for report in reports
    }
    named = _named(scope, [pk for pk, rows in later.items() if rows])
    return {
        report.pk: Overtaken(
            kind=report.kind,
            state=report.state,
            stops=tuple(
                stop
                for stop in later[report.pk]
                if stop.machine.code not in named.get(report.pk, ())
            ),
            readings=_count(report, readings),
        )
        for report in reports
    }


def wrong_ones(*, scope: Scope, drafts: Sequence[Report]) -> set[int]:
    """Return the numbers of drafts that are not released as they stand."""
    found = of_each(scope=scope, reports=drafts)
    return {pk for pk, each in found.items() if each.is_wrong}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Changed:
    """A reading that counts no more as it did: whose, received and changed when.

    `place` has the numbers of its machine, building and owner.
    """

    place: tuple[Any, ...]
    received_at: datetime
    at: datetime


def _machines(scope: Scope, reports: Iterable[Report]) -> QuerySet[Machine]:
    """Return the machines that any of the documents is about."""
    rows = Machine.objects.within(scope).filter(retired_on=None)
    places = {_place_of(report) for report in reports}
    if any(number is None for _level, number in places):
        return rows
    by_level = [[n for level, n in places if level == wanted] for wanted in range(3)]
    return rows.filter(
        Q(pk__in=by_level[0])
        | Q(building__in=by_level[1])
        | Q(building__owner__in=by_level[2])
    )


def _place_of(report: Report) -> tuple[int, int | None]:
    """Return what a document is about: machine, building, owner (0 to 2) or all."""
    numbers = (report.machine_id, report.building_id, report.owner_id)
    return next(
        ((level, number) for level, number in enumerate(numbers) if number), (0, None)
    )


def _is_of(report: Report, place: tuple[Any, ...]) -> bool:
    level, number = _place_of(report)
    return number is None or place[level] == number


def _is_later(report: Report, machine: Machine, at: datetime) -> bool:
    place = (machine.pk, machine.building_id, machine.building.owner_id)
    return _is_of(report, place) and at > report.created_at - _UNDER_WAY


def _stops(
    scope: Scope, machines: QuerySet[Machine], since: datetime
) -> QuerySet[Stop, Any]:
    """Return open stops with `at`, when each was raised or opened again at last."""
    rows = Stop.objects.within(scope).filter(machine__in=machines, released_at=None)
    raised = Q(events__contractor_id=scope.contractor_id, events__kind__in=_STANDS)
    found: QuerySet[Stop, Any] = (
        rows.annotate(at=Max("events__created_at", filter=raised))
        .filter(at__gt=since)
        .select_related("machine__building")
        .order_by("machine__code", "pk")
    )
    return found


def _readings(
    scope: Scope, machines: QuerySet[Machine], since: datetime
) -> Iterator[_Changed]:
    """Yield the readings that were set aside, moved or corrected since then.

    Asked of one table after another by their numbers: there are few of them.
    """
    reviews = ReadingReview.objects.filter(contractor_id=scope.contractor_id)
    aside = reviews.filter(accepted=False, created_at__gt=since).order_by()
    corrected = (
        Reading.objects.filter(contractor_id=scope.contractor_id)
        .filter(corrects__isnull=False, received_at__gt=since)
        .order_by()
    )
    changed: dict[int, list[datetime]] = {}
    for pk, at in (
        *aside.values_list("reading_id", "created_at"),
        *corrected.values_list("corrects_id", "received_at"),
    ):
        changed.setdefault(pk, []).append(at)
    ids = list(changed)
    for first in range(0, len(ids), _AT_ONCE):
        wanted = ids[first : first + _AT_ONCE]
        # What was held is in no document until somebody accepts it.
        held = Q(state=ReadingState.HELD) & ~Q(
            pk__in=reviews.filter(accepted=True, reading__in=wanted).values("reading")
        )
        rows = Reading.objects.within(scope).filter(~held, machine__in=machines)
        for pk, received_at, *place in rows.filter(pk__in=wanted).values_list(
            "pk", "received_at", *_OF_ITS_PLACE
        ):
            yield _Changed(
                place=tuple(place), received_at=received_at, at=max(changed[pk])
            )


def _named(scope: Scope, ids: Sequence[int]) -> dict[int, set[str]]:
    """Return the codes of machines that documents say themselves are out of service."""
    if not ids:
        return {}
    rows = Report.objects.within(scope).filter(pk__in=ids).order_by()
    said = rows.values_list("pk", "content__content__out_of_service")
    return {pk: {block["code"] for block in blocks or ()} for pk, blocks in said}


def _replaced_by(scope: Scope, report: Report) -> Report | None:
    if report.state != ReportState.PUBLISHED:
        return None
    later = Report.objects.within(scope).filter(
        kind=report.kind,
        owner=report.owner_id,
        building=report.building_id,
        machine=report.machine_id,
        period_start=report.period_start,
        period_end=report.period_end,
        revision__gt=report.revision,
        state=ReportState.PUBLISHED,
    )
    found: Report | None = later.defer("content").order_by("-revision").first()
    return found


def _count(report: Report, changed: Iterable[_Changed]) -> int:
    return sum(
        _is_of(report, one.place)
        and one.received_at <= report.created_at
        and one.at > report.created_at - _UNDER_WAY
        for one in changed
    )
