"""A sister machine: what stands in the register of one, taken over for another.

Each value that was copied counts as assumed until somebody has looked at the plate, the
drawing or the part: two machines of one order may differ, and a copy is no measurement.
"""

from collections.abc import Collection, Sequence
from datetime import date
from typing import Any

from fleet.platform.choices import FieldSource
from fleet.platform.database.tenancy import Scope
from fleet.register.models import (
    Groove,
    Machine,
    Pulley,
    Rope,
    RopeInGroove,
    RopeSet,
    Sheave,
    SheaveGeometry,
)

# What belongs to the one machine, its day and its history.
_OWN = frozenset(
    {
        *("id", "contractor", "created_at", "version", "sources", "uncertainties"),
        *("machine", "sheave", "rope_set", "building", "code", "name"),
        *("fitted_on", "retired_on", "installed_on", "valid_from"),
        # By its certificate, its length or its mark, a part is itself alone.
        *("certificate", "breaking_force_kn", "measured_length_m", "datum_mark"),
        # Of the one casting: a layer that is not there would hide wear.
        *("hardened_depth_mm", "hardness_hb"),
        *("diameter_as_fitted_mm", "car_hitch", "counterweight_hitch", "mark"),
    }
)
# Counted or seen at once by whoever fits the ropes; no measure.
_UNMEASURED = frozenset({"number", "ropes_count", "pass_number"})


def copy(
    *,
    scope: Scope,
    sister: Machine,
    machine: Machine,
    given: Collection[str],
    on: date,
) -> Machine:
    """Fill a new machine with its sister's values and parts as they are fitted today.

    What is `given` of the machine stays. The parts count as fitted on `on`; nothing is
    known of them before. Readings and work stay with the sister.
    """
    fields = {n: v for n, v in _fields(sister).items() if n not in given}
    for name, value in fields.items():
        setattr(machine, name, value)
    machine.sources = _assumed(fields) | machine.sources
    machine.save(update_fields=[*fields, "sources"])
    own = {"contractor_id": scope.contractor_id}
    for pulley in _fitted(Pulley, scope).filter(machine=sister):
        _copied(pulley, machine=machine, fitted_on=on, **own)
    sheave = _fitted(Sheave, scope).filter(machine=sister).first()
    if sheave is None:
        return machine
    new_sheave = _copied(sheave, machine=machine, fitted_on=on, **own)
    geometries = SheaveGeometry.objects.within(scope).filter(sheave=sheave)
    latest = geometries.order_by("-valid_from").first()
    if latest is not None:
        _copied(latest, sheave=new_sheave, valid_from=on, **own)
    grooves = {
        groove.pk: _copied(groove, sheave=new_sheave, **own)
        for groove in Groove.objects.within(scope).filter(sheave=sheave)
    }
    rope_set = _fitted(RopeSet, scope).filter(machine=sister).first()
    if rope_set is None:
        return machine
    new_set = _copied(rope_set, machine=machine, sheave=new_sheave, fitted_on=on, **own)
    for rope in Rope.objects.within(scope).filter(rope_set=rope_set):
        new_rope = _copied(rope, rope_set=new_set, **own)
        for seat in RopeInGroove.objects.within(scope).filter(rope=rope):
            if seat.groove_id in grooves:
                RopeInGroove.objects.create(
                    rope=new_rope,
                    groove=grooves[seat.groove_id],
                    pass_number=seat.pass_number,
                    **own,
                )
    return machine


def _fitted(model: Any, scope: Scope) -> Any:
    return model.objects.within(scope).filter(retired_on=None).order_by("pk")


def _copied(row: Any, **own: Any) -> Any:
    fields = _fields(row)
    if hasattr(row, "sources"):
        own["sources"] = _assumed(fields)
    return type(row).objects.create(**fields, **own)


def _fields(row: Any) -> dict[str, Any]:
    names = [f.name for f in row._meta.concrete_fields if f.name not in _OWN]
    return {name: getattr(row, name) for name in names}


def _assumed(fields: dict[str, Any]) -> dict[str, str]:
    said: Sequence[str] = [
        name
        for name, value in fields.items()
        if value not in (None, "") and name not in _UNMEASURED
    ]
    return dict.fromkeys(said, FieldSource.ASSUMED.value)
