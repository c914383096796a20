"""Questions over readings, findings and forecasts; reads only."""

from collections.abc import Iterable, Sequence
from datetime import datetime

from django.db.models import Exists, OuterRef, Q, QuerySet, Subquery

from fleet.models import Machine
from fleet.tenancy import Scope
from inspections.models import (
    Assessment,
    Finding,
    Forecast,
    Reading,
    ReadingReview,
    ReadingState,
    WearLimit,
)


def usable_readings(
    *, scope: Scope, machine_ids: Iterable[int], until: datetime
) -> QuerySet[Reading]:
    """Return the readings an assessment may rest on, oldest first.

    Left out: what a later reading corrects, what is held and not accepted, and what
    someone has set aside. Unconfirmed readings are in: they act as if true. A
    correction that is itself held or set aside takes nothing out.
    """
    corrections = _standing(Reading.objects.filter(corrects=OuterRef("pk")))
    rows: QuerySet[Reading] = (
        _standing(Reading.objects.within(scope))
        .filter(machine__in=machine_ids, taken_at__lte=until)
        .exclude(Exists(corrections))
        .select_related("gauge", "visit", "groove", "rope")
        .order_by("machine", "taken_at", "pk")
    )
    return rows


def _standing(readings: QuerySet[Reading]) -> QuerySet[Reading]:
    """Leave out what is held and not accepted, and what someone has set aside."""
    reviews = ReadingReview.objects.filter(reading=OuterRef("pk")).order_by("-pk")
    return readings.annotate(accepted=Subquery(reviews.values("accepted")[:1])).filter(
        Q(accepted=True) | Q(accepted__isnull=True) & ~Q(state=ReadingState.HELD)
    )


def latest_assessments(*, scope: Scope) -> QuerySet[Assessment]:
    """Return the latest assessment of each machine."""
    latest = (
        Assessment.objects.filter(machine=OuterRef("machine"))
        .order_by("-pk")
        .values("pk")[:1]
    )
    return Assessment.objects.within(scope).filter(pk=Subquery(latest))


def current_findings(*, scope: Scope) -> QuerySet[Finding]:
    """Return the findings of each machine's latest assessment."""
    latest = (
        Assessment.objects.filter(machine=OuterRef("machine"))
        .order_by("-pk")
        .values("pk")[:1]
    )
    return (
        Finding.objects.within(scope)
        .filter(assessment=Subquery(latest))
        .select_related("machine", "groove", "rope")
    )


def current_forecasts(*, scope: Scope) -> QuerySet[Forecast]:
    """Return the forecasts that stand, of every place."""
    return Forecast.objects.within(scope).filter(current=True)


def wear_limits(*, scope: Scope, machine_ids: Iterable[int]) -> Sequence[WearLimit]:
    """Return the limits that bind at the places of the machines."""
    return list(WearLimit.objects.within(scope).filter(machine__in=machine_ids))


def active_machines(*, scope: Scope) -> QuerySet[Machine]:
    """Return the machines that are in service, by id."""
    return Machine.objects.within(scope).filter(retired_on=None).order_by("pk")
