"""The parts that stood on the day of the work, and their ends.

A part that replaces one which was itself replaced later takes over that later end:
work told of afterwards parts the old period in two.
"""

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from django.db.models import F, Q, QuerySet

from fleet.models import Groove, Machine, RopeSet, Sheave, SheaveGeometry
from fleet.platform.database.tenancy import Scope
from inspections import queries
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.models import Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedParts:
    """What was fitted on the day; None where the register has nothing."""

    sheave: Sheave
    geometry: SheaveGeometry | None
    later_geometry: SheaveGeometry | None
    rope_set: RopeSet | None
    grooves: tuple[Groove, ...]


def standing(*, scope: Scope, machine: Machine, day: date) -> FittedParts:
    """Return the parts fitted on a day. Raises NotTaken where no sheave was."""
    sheave = _on(Sheave.objects.within(scope).filter(machine=machine), day)
    if sheave is None:
        raise NotTaken(
            f"no drive sheave of machine {machine.code} was fitted on {day}",
            pointer="/done_on",
            code="no-part",
        )
    cuts = SheaveGeometry.objects.within(scope).filter(sheave=sheave)
    return FittedParts(
        sheave=sheave,
        geometry=cuts.filter(valid_from__lte=day).order_by("-valid_from").first(),
        later_geometry=cuts.filter(valid_from__gt=day).order_by("valid_from").first(),
        rope_set=_on(RopeSet.objects.within(scope).filter(sheave=sheave), day),
        grooves=tuple(Groove.objects.within(scope).filter(sheave=sheave)),
    )


def close(*, scope: Scope, part: Sheave | RopeSet, day: date) -> date | None:
    """End a part on a day and return when it had ended until now.

    Raises WorkConflict if it was fitted that very day.
    """
    if part.fitted_on >= day:
        what = "a drive sheave" if isinstance(part, Sheave) else "a rope set"
        raise WorkConflict(
            f"{what} was fitted on {part.fitted_on} already; it cannot be replaced on "
            "the day it was fitted: correct its own fields instead",
            pointer="/done_on",
            code="fitted-that-day",
        )
    ended = part.retired_on
    rows = type(part).objects.within(scope).filter(pk=part.pk)
    rows.update(retired_on=day, version=F("version") + 1)
    return ended


def next_fitting(rows: QuerySet[Any], *, day: date) -> date | None:
    """Return when the next of some parts was fitted after a day, None if none was."""
    found: date | None = (
        rows.filter(fitted_on__gt=day)
        .order_by("fitted_on")
        .values_list("fitted_on", flat=True)
        .first()
    )
    return found


def refuse_readings_since(
    *, scope: Scope, machine: Machine, of: Q, day: date, what: str
) -> None:
    """Raise WorkConflict if usable readings after the day stand on parts that go.

    A reading is never moved to another part; the day's own are taken as found.
    """
    found = readings_between(scope=scope, machine=machine, first=day + timedelta(1))
    count = found.filter(of).count()
    if count:
        raise WorkConflict(
            f"{count} readings after {day} stand on the {what} that this work takes "
            "out. If they were taken on the new ones, set them aside in a review and "
            "send them again once the work is stored",
            pointer="/done_on",
            code="readings-since",
        )


def readings_between(
    *, scope: Scope, machine: Machine, first: date, last: date | None = None
) -> QuerySet[Reading]:
    """Return the usable readings of some days, by the building's clock."""
    rows = queries.usable_readings(
        scope=scope, machine_ids=[machine.pk], until=_FOR_EVER
    ).filter(taken_at__gte=_begin(machine, first))
    if last is not None:
        rows = rows.filter(taken_at__lt=_begin(machine, last + timedelta(1)))
    return rows


def day_of(moment: datetime, *, machine: Machine) -> date:
    """Return a moment's day by the building's clock."""
    return moment.astimezone(ZoneInfo(machine.building.time_zone)).date()


_FOR_EVER = datetime(2999, 1, 1, tzinfo=UTC)


def _begin(machine: Machine, day: date) -> datetime:
    return datetime.combine(day, time(0), ZoneInfo(machine.building.time_zone))


def _on(rows: QuerySet[Any], day: date) -> Any:
    """Return the row whose period holds a day, None if none does."""
    open_ended = Q(retired_on=None) | Q(retired_on__gt=day)
    return rows.filter(open_ended, fitted_on__lte=day).first()
