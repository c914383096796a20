"""A machine on one page: what stands there, what was read, found and is to come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import Prefetch, Q

from fleet.models import (
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
    Work,
)
from fleet.platform.database.tenancy import Scope
from fleet.platform.errors import NotFound
from inspections import condition, queries
from inspections.models import Assessment, Finding, Forecast, Grade, Reading, Stop

# What a person has to do something about, or has to know that it is not known.
_OPEN = (Grade.ACT_NOW, Grade.PLAN_WORK, Grade.KEEP_AN_EYE_ON, Grade.NOT_ASSESSED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """Everything a person needs to see of one machine; None where there is nothing."""

    machine: Machine
    pulleys: Sequence[Pulley]
    sheave: Sheave | None
    geometries: Sequence[SheaveGeometry]
    grooves: Sequence[Groove]
    rope_set: RopeSet | None
    ropes: Sequence[Rope]
    works: Sequence[Work]
    last_readings: Sequence[Reading]
    to_confirm: Sequence[Reading]
    assessment: Assessment | None
    grade: str
    findings: Sequence[Finding]
    forecasts: Sequence[Forecast]
    stops: Sequence[Stop]

    @property
    def geometry(self) -> SheaveGeometry | None:
        """The grooves as cut last; earlier cuts stand before it in `geometries`."""
        return self.geometries[-1] if self.geometries else None


def page(*, scope: Scope, machine_id: int, as_of: datetime) -> Page:
    """Return a machine's page, in a constant number of queries. Raises NotFound."""
    rows = Machine.objects.within(scope).select_related("building__owner")
    machine = rows.filter(pk=machine_id).first()
    if machine is None:
        raise NotFound
    day = as_of.astimezone(ZoneInfo(machine.building.time_zone)).date()
    fitted = Q(retired_on=None) | Q(retired_on__gt=day)
    own: dict[str, Any] = {"machine": machine, "fitted_on__lte": day}
    # In their usual order, all of one machine: to sort by the machine would join it,
    # and every row of the contractor with it where the tables were not counted yet.
    sheaves = Sheave.objects.within(scope).filter(fitted, **own)
    sheave = sheaves.order_by("fitted_on", "pk").first()
    rope_sets = RopeSet.objects.within(scope).filter(fitted, **own)
    rope_set = rope_sets.order_by("fitted_on", "pk").first()
    assessment = queries.latest_assessments(scope=scope).filter(machine=machine).first()
    forecasts = list(queries.current_forecasts(scope=scope).filter(machine=machine))
    return Page(
        machine=machine,
        pulleys=list(
            Pulley.objects.within(scope).filter(fitted, **own).order_by("number", "pk")
        ),
        sheave=sheave,
        geometries=list(
            SheaveGeometry.objects.within(scope)
            .filter(sheave=sheave, valid_from__lte=day)
            .order_by("valid_from", "pk")
        ),
        grooves=list(
            Groove.objects.within(scope).filter(sheave=sheave).order_by("number")
        ),
        rope_set=rope_set,
        ropes=_ropes(scope, rope_set),
        works=list(
            Work.objects.within(scope)
            .filter(machine=machine)
            .order_by("-done_on", "pk")
        ),
        last_readings=_last_readings(scope, machine, sheave, rope_set),
        to_confirm=list(
            queries.readings_to_confirm(scope=scope)
            .filter(machine=machine)
            .order_by("pk")
        ),
        assessment=assessment,
        grade=condition.grade_of(
            assessment=assessment, forecasts=forecasts, today=as_of.date()
        ),
        findings=[
            finding
            for finding in queries.current_findings(scope=scope).filter(machine=machine)
            if finding.grade in _OPEN or finding.is_open
        ],
        forecasts=forecasts,
        stops=list(queries.open_stops(scope=scope, machine_ids=[machine.pk])),
    )


def _ropes(scope: Scope, rope_set: RopeSet | None) -> list[Rope]:
    """Return the ropes of a set with their grooves."""
    seats = RopeInGroove.objects.within(scope).order_by("rope_id", "pass_number")
    return list(
        Rope.objects.within(scope)
        .filter(rope_set=rope_set)
        .order_by("number")
        .prefetch_related(Prefetch("seats", queryset=seats.select_related("groove")))
    )


def _last_readings(
    scope: Scope, machine: Machine, sheave: Sheave | None, rope_set: RopeSet | None
) -> list[Reading]:
    """Return the latest readings on the parts fitted now; earlier parts have theirs."""
    rows = queries.last_readings(scope=scope, machine_id=machine.pk)
    own = Q(sheave=None) | Q(sheave=sheave)
    return list(rows.filter(own, Q(rope=None) | Q(rope__rope_set=rope_set)))
