"""A new sheave, or a new rim on the old hub: old grooves and ropes end with the old."""

from collections.abc import Sequence
from datetime import date

from django.db.models import Q

from fleet.models import Groove, Machine, RopeSet, Sheave
from fleet.platform.database.tenancy import Scope
from fleet.register.choices import RimConstruction, WorkKind
from inspections.completion import periods
from inspections.completion.periods import FittedParts
from inspections.completion.problems import NotTaken, WorkConflict
from inspections.completion.report import WorkReport

_RENEWABLE = ("", RimConstruction.BOLTED)


def replace(
    *, scope: Scope, machine: Machine, before: FittedParts, report: WorkReport
) -> tuple[Sheave, list[Groove]]:
    """Take sheave and ropes out, fit the new sheave. Raises NotTaken, WorkConflict."""
    old, day = before.sheave, report.done_on
    _check_numbers(report.grooves or ())
    if report.kind == WorkKind.RIM_RENEWAL and old.rim_construction not in _RENEWABLE:
        raise NotTaken(
            f"the register says that this rim is {old.get_rim_construction_display()}; "
            "only a bolted one is renewed. Correct the register, or report a sheave "
            "replacement",
            pointer="/kind",
            code="rim-not-renewable",
        )
    _refuse_later(scope, before, day)
    periods.refuse_readings_since(
        scope=scope,
        machine=machine,
        of=Q(sheave=old) | Q(groove__sheave=old) | Q(rope__rope_set__sheave=old),
        day=day,
        what="sheave or the ropes",
    )
    if before.rope_set is not None:
        periods.close(scope=scope, part=before.rope_set, day=day)
    ended = periods.close(scope=scope, part=old, day=day)
    fields = dict(report.sheave or {})
    if report.kind == WorkKind.RIM_RENEWAL:
        # Hub and fastening stay; everything else is the new rim's own.
        fields.setdefault("rim_construction", old.rim_construction)
    if report.geometry is not None:
        fields.setdefault(
            "pitch_diameter_new_mm", report.geometry.get("pitch_diameter_mm")
        )
    sheave: Sheave = Sheave.objects.create(
        contractor_id=scope.contractor_id,
        machine=machine,
        fitted_on=day,
        retired_on=ended,
        **fields,
    )
    grooves = Groove.objects.bulk_create(
        Groove(contractor_id=scope.contractor_id, sheave=sheave, **groove)
        for groove in report.grooves or ()
    )
    return sheave, grooves


def _refuse_later(scope: Scope, before: FittedParts, day: date) -> None:
    """Raise WorkConflict if the sheave was worked on after the day it left."""
    later = RopeSet.objects.within(scope).filter(
        sheave=before.sheave, fitted_on__gt=day
    )
    if before.later_geometry is not None or later.exists():
        raise WorkConflict(
            f"after {day} grooves were cut or ropes fitted on the sheave that this "
            "work takes out; report work in the order of its days",
            pointer="/done_on",
            code="worked-on-later",
        )


def _check_numbers(grooves: Sequence[object]) -> None:
    numbers = [groove["number"] for groove in grooves]  # type: ignore[index]
    if sorted(numbers) != list(range(1, len(numbers) + 1)):
        raise NotTaken(
            "the grooves are numbered 1 to n, each once",
            pointer="/grooves",
            code="grooves-not-numbered",
        )
