"""Attempts to end stops as a competent member makes them; most must be refused."""

from contextlib import suppress
from datetime import datetime

from django.db import transaction

from fleet.models import Work
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import DomainError
from inspections.models import Reading, Stop
from inspections.releases import accepting, ending, refuting
from inspections.stops import causes

_WHY = "done and looked at"


def by_work(*, scope: Scope, machine_id: int, now: datetime) -> None:
    """Try to end every stop of a machine by its last work."""
    rows = Stop.objects.within(scope).filter(machine=machine_id, released_at=None)
    for pk in rows.order_by("pk").values_list("pk", flat=True):
        _accepted(scope, pk, machine_id, now)


def of_reading(*, scope: Scope, machine_id: int, reference: str, now: datetime) -> None:
    """Try to end what one reading has raised, by old work and by words alone."""
    read = Reading.objects.within(scope).filter(reference=reference).first()
    if read is None:
        return
    rows = Stop.objects.within(scope).filter(
        machine=machine_id, released_at=None, readings__contains=[read.pk]
    )
    for stop in rows.order_by("pk"):
        _accepted(scope, stop.pk, machine_id, now)
        if causes.RULES[stop.cause].looks_again:
            with suppress(DomainError), transaction.atomic():
                refuting.refute(
                    scope=scope,
                    stop=ending.locked(scope=scope, stop_id=stop.pk),
                    why=_WHY,
                    set_aside=(),
                    now=now,
                )


def _accepted(scope: Scope, stop_id: int, machine_id: int, now: datetime) -> None:
    works = Work.objects.within(scope).filter(machine=machine_id)
    last = works.order_by("-done_on", "-pk").first()
    with suppress(DomainError), transaction.atomic():
        accepting.accept(
            scope=scope,
            stop=ending.locked(scope=scope, stop_id=stop_id),
            work_id=last.pk if last else 0,
            why=_WHY,
            now=now,
        )
