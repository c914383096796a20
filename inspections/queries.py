"""Questions over readings, findings and forecasts; reads only."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from django.db.models import (
    BooleanField,
    Exists,
    ExpressionWrapper,
    F,
    OuterRef,
    Q,
    QuerySet,
    Subquery,
    Value,
)
from django.db.models.functions import Coalesce

from fleet.models import Machine
from fleet.platform.database.tenancy import Scope
from inspections import corrections
from inspections.models import (
    Assessment,
    Finding,
    Forecast,
    ForecastRun,
    Reading,
    ReadingReview,
    ReadingState,
    RunCause,
    RunState,
    Stop,
    StopEvent,
    Terms,
    VisitMove,
    WearLimit,
)

_NEVER = Value(date.max)


def usable_readings(
    *, scope: Scope, machine_ids: Iterable[int], until: datetime
) -> QuerySet[Reading]:
    """Return the readings an assessment may rest on, oldest first.

    Left out: what a later reading corrects, what is held and not accepted, and what
    someone has set aside. Unconfirmed readings are in: they act as if true; each
    reading's `accepted` says whether someone has confirmed it. A correction that is
    itself held or set aside takes nothing out, nor does one by another person, of
    another place or visit, or of what somebody else has confirmed: both stand then,
    until one is set aside. Of such two numbers, and of those that two people read at
    one place in one visit, the worse alone counts: a median of both would let somebody
    better what another has read or confirmed.
    """
    own = Reading.objects.within(scope).filter(machine__in=list(machine_ids))
    stands, confirmed = corrections.standing(scope=scope, rows=own)
    rows = _whole(own.filter(pk__in=stands, taken_at__lte=until), confirmed)
    return rows.order_by("machine_id", "taken_at", "pk")


def _whole(rows: QuerySet[Reading], confirmed: Collection[int]) -> QuerySet[Reading]:
    """Return readings with what they name, and with whether somebody confirmed them."""
    accepted = ExpressionWrapper(Q(pk__in=confirmed), output_field=BooleanField())
    found: QuerySet[Reading] = rows.annotate(accepted=accepted)
    return found.select_related("gauge", "visit", "groove", "rope")


def visit_where_made(*, scope: Scope, visit_id: int) -> int:
    """Return the visit that a visit was moved to, as often as it was; else itself.

    Of moves that lead back to where they began, which nobody can make, the newest one.
    """
    moves, seen = VisitMove.objects.within(scope), [visit_id]
    while to := moves.filter(from_visit=seen[-1]).values_list("to_visit").first():
        if to[0] in seen:
            return max(seen)
        seen += to
    return seen[-1]


def readings_to_confirm(*, scope: Scope) -> QuerySet[Reading]:
    """Return held and unconfirmed readings that nobody has spoken of or corrected."""
    spoken_of = ReadingReview.objects.filter(reading=OuterRef("pk"))
    corrected = Reading.objects.filter(corrects=OuterRef("pk"))
    rows: QuerySet[Reading] = Reading.objects.within(scope).filter(
        ~Q(state=ReadingState.STORED), ~Exists(spoken_of), ~Exists(corrected)
    )
    return rows


def last_readings(*, scope: Scope, machine_id: int) -> QuerySet[Reading]:
    """Return the latest usable reading of each kind at each place of a machine.

    Places are those of the parts they were read on: a rope that has gone keeps its own.
    """
    own = Reading.objects.within(scope).filter(machine=machine_id)
    last, confirmed = corrections.last(scope=scope, rows=own)
    rows = _whole(own.filter(pk__in=last), confirmed)
    return rows.order_by(*corrections.PLACE)


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
    return (
        Finding.objects.within(scope)
        .filter(current=True)
        .select_related("machine", "groove", "rope")
    )


def current_forecasts(*, scope: Scope) -> QuerySet[Forecast]:
    """Return the forecasts that stand, of every place, each with its run."""
    return Forecast.objects.within(scope).filter(current=True).select_related("run")


def first_limits(*, scope: Scope) -> QuerySet[Forecast]:
    """Return of each machine the standing forecast whose planning date comes first.

    A machine without any date is there too, with one of its forecasts.
    """
    # Not "the first of all", but "none before it": in the order of the index the
    # reading stops with the page, however many machines there are.
    own = Forecast.objects.within(scope).filter(
        current=True, machine=OuterRef("machine")
    )
    own = own.annotate(day=Coalesce("plan_before_on", _NEVER))
    here = Coalesce(OuterRef("plan_before_on"), _NEVER)
    sooner = own.filter(Q(day__lt=here) | Q(day=here, pk__lt=OuterRef("pk")))
    rows: QuerySet[Forecast] = (
        current_forecasts(scope=scope)
        .filter(~Exists(sooner))
        .select_related("run", "machine")
        .order_by(F("plan_before_on").asc(nulls_last=True), "pk")
    )
    return rows


def latest_run(*, scope: Scope) -> ForecastRun | None:
    """Return the contractor's last finished run of the whole fleet."""
    return (
        ForecastRun.objects.filter(
            contractor_id=scope.contractor_id,
            cause=RunCause.NIGHT,
            state=RunState.DONE,
        )
        .order_by("-pk")
        .first()
    )


def wear_limits(*, scope: Scope, machine_ids: Iterable[int]) -> Sequence[WearLimit]:
    """Return the limits that bind at the places of the machines."""
    return list(WearLimit.objects.within(scope).filter(machine__in=machine_ids))


def active_machines(*, scope: Scope) -> QuerySet[Machine]:
    """Return the machines that are in service, by id."""
    return Machine.objects.within(scope).filter(retired_on=None).order_by("pk")


def standing_terms(*, scope: Scope) -> Sequence[Terms]:
    """Return the contractor's terms that count: the latest on each subject."""
    rows = Terms.objects.within(scope).order_by("subject", "-pk").distinct("subject")
    return list(rows)


def open_stops(*, scope: Scope, machine_ids: Iterable[int] | None = None) -> Any:
    """Return the open stops of machines in service, the longest standing first.

    Of all machines, or of those that are named.
    """
    rows = Stop.objects.within(scope).filter(released_at=None, machine__retired_on=None)
    if machine_ids is not None:
        rows = rows.filter(machine__in=list(machine_ids))
    return rows.select_related("machine", "groove", "rope").order_by("since", "pk")


def stopped_machines(*, scope: Scope) -> frozenset[int]:
    """Return the ids of the machines in service that have an open stop."""
    rows = open_stops(scope=scope).order_by()
    return frozenset(rows.values_list("machine_id", flat=True))


def told_of(*, scope: Scope, stop_ids: Iterable[int]) -> Any:
    """Return the events in which somebody was written to about the stops, in order."""
    rows = StopEvent.objects.within(scope).filter(stop__in=list(stop_ids))
    return rows.exclude(told=[]).order_by("stop_id", "pk")


def unchecked_machines(
    *, scope: Scope, machine_ids: Sequence[int] | None = None
) -> int:
    """Return of how many machines in service a check was not made, or too long ago.

    Of some machines, or of all.
    """
    rows = unchecked(scope=scope)
    if machine_ids is not None:
        rows = rows.filter(machine__in=machine_ids)
    return int(rows.count())


def unchecked(*, scope: Scope) -> Any:
    """Return the latest assessments that lack a check, or one that is fresh enough."""
    rows = latest_assessments(scope=scope).filter(machine__retired_on=None)
    return rows.filter(checks__missed__0__isnull=False)


def stops_of_upload(*, scope: Scope, upload_id: int) -> Sequence[Stop]:
    """Return the stops that an upload has raised or repeated."""
    rows = Stop.objects.within(scope).filter(events__upload=upload_id).distinct()
    return list(rows.select_related("machine").order_by("machine__code", "pk"))
