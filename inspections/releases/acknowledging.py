"""Someone says to have heard of a stop; only then somebody was told."""

from datetime import datetime

from fleet.platform.database.tenancy import Scope
from inspections.models import Stop, StopEvent, StopEventKind


def acknowledge(*, scope: Scope, stop: Stop, words: str, now: datetime) -> Stop:
    """Note on a locked open stop who has heard of it; the first one stays named."""
    if stop.acknowledged_at is None:
        stop.acknowledged_at, stop.acknowledged_by = now, scope.membership_id
        stop.version += 1
        stop.save()
    _note(scope, stop, StopEventKind.ACKNOWLEDGED, words, now)
    return stop


def note_running(*, scope: Scope, stop: Stop, words: str, now: datetime) -> Stop:
    """Note that the machine runs although it is stopped; needs to be heard of anew."""
    stop.acknowledged_at = stop.acknowledged_by = None
    stop.version += 1
    stop.save()
    _note(scope, stop, StopEventKind.RUNNING, words, now)
    return stop


def _note(
    scope: Scope, stop: Stop, kind: StopEventKind, words: str, now: datetime
) -> None:
    StopEvent.objects.create(
        contractor_id=stop.contractor_id,
        stop=stop,
        kind=kind,
        at=now,
        membership_id=scope.membership_id,
        words=words,
    )
