"""Questions over readings, findings and forecasts; reads only."""

from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import Any

from django.db.models import (
    BooleanField,
    ExpressionWrapper,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
)

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
    someone has set aside. Unconfirmed readings are in: they act as if true; each
    reading's `accepted` says whether someone has confirmed it. A correction that is
    itself held or set aside takes nothing out.
    """
    # Every part looks at these machines only: a contractor has many readings.
    own = Reading.objects.within(scope).filter(machine__in=list(machine_ids))
    accepted = _reviewed(own, accepted=True)
    standing = own.filter(
        ~Q(pk__in=_reviewed(own, accepted=False)),
        ~Q(state=ReadingState.HELD) | Q(pk__in=accepted),
    )
    corrected = standing.filter(corrects__isnull=False).values("corrects_id")
    rows: QuerySet[Reading] = (
        standing.filter(taken_at__lte=until)
        .exclude(pk__in=corrected)
        .annotate(
            accepted=ExpressionWrapper(Q(pk__in=accepted), output_field=BooleanField())
        )
        .select_related("gauge", "visit", "groove", "rope")
        .order_by("machine_id", "taken_at", "pk")
    )
    return rows


def _reviewed(readings: QuerySet[Reading], *, accepted: bool) -> QuerySet[Any]:
    """Return the ids of the readings whose latest review says so."""
    reviews = ReadingReview.objects.filter(reading__in=readings.values("pk"))
    latest = reviews.order_by("reading_id", "-pk").distinct("reading_id")
    return reviews.filter(pk__in=latest.values("pk"), accepted=accepted).values(
        "reading_id"
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
