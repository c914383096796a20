"""Retirement and hand-over of a machine end its stops; back in service they stand."""

from datetime import datetime

from django.db.models import Q

from fleet.platform.database.tenancy import Scope
from inspections.models import Release, Stop, StopEvent, StopEventKind
from inspections.stops import holding


def follow(*, scope: Scope, now: datetime) -> None:
    """Write down which stops ended with their machine, and open those that came back.

    A machine in service again is as it was left: unless its stop has been raised anew.
    """
    holding.hold(scope=scope, machine_ids=_machines(scope))
    rows = Stop.objects.within(scope).select_for_update(of=("self",)).order_by("pk")
    for stop in rows.filter(released_at=None, machine__retired_on__isnull=False):
        stop.release, stop.released_at = Release.RETIRED, now
        _store(stop, StopEventKind.RELEASED, now)
    ended = rows.filter(release=Release.RETIRED, machine__retired_on=None)
    for stop in ended:
        same = rows.filter(
            machine=stop.machine_id,
            cause=stop.cause,
            place_key=stop.place_key,
            pk__gt=stop.pk,
        )
        if not same.exists():
            stop.release, stop.released_at = "", None
            _store(stop, StopEventKind.REOPENED, now)


def _machines(scope: Scope) -> list[int]:
    """Return the machines that left or came back beside what is said of their stops."""
    rows = Stop.objects.within(scope).filter(
        Q(released_at=None, machine__retired_on__isnull=False)
        | Q(release=Release.RETIRED, machine__retired_on=None)
    )
    return list(rows.order_by().values_list("machine", flat=True))


def _store(stop: Stop, kind: StopEventKind, now: datetime) -> None:
    stop.version += 1
    stop.save()
    StopEvent.objects.create(
        contractor_id=stop.contractor_id, stop=stop, kind=kind, at=now
    )
