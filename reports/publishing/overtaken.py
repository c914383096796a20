"""What a document does not say because it came later, told beside it.

A document is frozen: what is read afterwards is in the next one. But a draft is
released today, and an issued one is taken for what is: that a machine stands by now, or
that what was read was of another machine, must not be left unsaid.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Exists, OuterRef, Q, QuerySet

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections.models import (
    Reading,
    ReadingReview,
    ReadingState,
    Stop,
    StopEvent,
    StopEventKind,
)
from reports.models import Report, ReportState

# What was under way when a document was asked for bears an earlier time, and may not be
# in it; our rule, no source. All times are the database's, of one clock.
_UNDER_WAY = timedelta(seconds=2)
_STANDS = (StopEventKind.RAISED, StopEventKind.REOPENED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """What came after a document was asked for.

    stops : open stops of its machines, raised or opened again since
    readings : how many earlier readings were set aside, moved or corrected since
    replaced_by : the latest issued revision on the same place and period
    """

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


def of(*, scope: Scope, report: Report) -> Overtaken:
    """Return what a draft or an issued document does not say."""
    machines = _machines(scope, report)
    return Overtaken(
        stops=_stops(scope, machines, report.created_at),
        readings=_readings(scope, machines, report.created_at).count(),
        replaced_by=_replaced_by(scope, report),
    )


def _machines(scope: Scope, report: Report) -> QuerySet[Machine]:
    rows = Machine.objects.within(scope).filter(retired_on=None)
    if report.machine_id is not None:
        return rows.filter(pk=report.machine_id)
    if report.building_id is not None:
        return rows.filter(building=report.building_id)
    if report.owner_id is not None:
        return rows.filter(building__owner=report.owner_id)
    return rows


def _stops(
    scope: Scope, machines: QuerySet[Machine], asked_at: datetime
) -> tuple[Stop, ...]:
    events = StopEvent.objects.filter(
        contractor_id=scope.contractor_id,
        stop=OuterRef("pk"),
        kind__in=_STANDS,
        created_at__gt=asked_at - _UNDER_WAY,
    )
    rows = Stop.objects.within(scope).filter(
        Exists(events), machine__in=machines, released_at=None
    )
    return tuple(rows.select_related("machine").order_by("machine__code", "pk"))


def _readings(
    scope: Scope, machines: QuerySet[Machine], asked_at: datetime
) -> QuerySet[Reading]:
    since = asked_at - _UNDER_WAY
    rows = Reading.objects.within(scope)
    aside = ReadingReview.objects.filter(
        contractor_id=scope.contractor_id,
        reading=OuterRef("pk"),
        accepted=False,
        created_at__gt=since,
    )
    corrected = rows.filter(corrects=OuterRef("pk"), received_at__gt=since).order_by()
    # What was held is in no document until somebody accepts it.
    accepted = ReadingReview.objects.filter(
        contractor_id=scope.contractor_id, reading=OuterRef("pk"), accepted=True
    )
    return rows.filter(
        Q(Exists(aside)) | Q(Exists(corrected)),
        ~Q(state=ReadingState.HELD) | Q(Exists(accepted)),
        machine__in=machines,
        received_at__lte=asked_at,
    )


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
