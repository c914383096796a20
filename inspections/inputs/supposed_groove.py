"""Grooves of which the register does not say what they are made of."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import hypot, sin

from fleet.models import SheaveGeometry
from inspections.engineering import unknowns
from inspections.engineering.answer import Axis
from inspections.engineering.answer.axis import COVERAGE
from inspections.engineering.groove import BY_CODE, TurnedGroove
from inspections.inputs import register
from inspections.inputs.seats import SeatReading
from inspections.inputs.snapshot import Item, Snapshot

# What a groove is made of and may be supposed, where it is not registered.
_SUPPOSED = ("groove_angle_rad", "seat_radius_mm", "undercut_angle_rad")


@dataclass(frozen=True, slots=True, kw_only=True)
class SupposedGroove:
    """A groove as it usually is where the register does not say what it is made of."""

    groove: TurnedGroove
    axes: Mapping[str, Axis]
    missing: tuple[Item, ...]


def suppose_groove(snapshot: Snapshot) -> SupposedGroove:
    """Return the groove with what is not registered of it supposed.

    Raises Missing for what has no plausible range, OutsideValidity.
    """
    geometry = snapshot.need_geometry()
    nominal_mm = snapshot.need_rope_set().nominal_diameter_mm
    said = snapshot.once_said
    own = _axes(geometry, rope_diameter_mm=nominal_mm, once_said=said)
    groove = register.groove_of(geometry, rope_diameter_mm=nominal_mm, supposed=own)
    columns = BY_CODE[geometry.form].columns
    return SupposedGroove(
        groove=groove,
        axes={
            **register.assumed_of(
                geometry, rope_diameter_mm=nominal_mm, once_said=said
            ),
            **own,
        },
        missing=tuple(
            column.needed for column in columns if column.needed and column.field in own
        ),
    )


def as_unsure(
    worst: Mapping[int, SeatReading], *, axes: Mapping[str, Axis]
) -> dict[int, SeatReading]:
    """Return depths as unsure as the angle of the V makes them that bands tell of.

    A band tells how far the rope has sunk across the flank: its depth goes with
    1/sin(γ/2).
    """
    angle = axes.get("groove_angle_rad")
    if angle is None:
        return dict(worst)
    usual = sin(angle.typical / 2.0)
    ends = [usual / sin(end / 2.0) for end in (angle.low, angle.high)]
    share = max(abs(end - 1.0) for end in ends) / COVERAGE
    return {
        pk: replace(end, offset_sd_mm=hypot(end.offset_sd_mm, share * end.seat.sunk_mm))
        for pk, end in worst.items()
    }


def _axes(
    geometry: SheaveGeometry,
    *,
    rope_diameter_mm: float,
    once_said: Mapping[str, float],
) -> dict[str, Axis]:
    """Return what is assumed of what a groove is made of.

    The angle of a V, the seat and the undercut of others. What the register once said
    stays as one end; what has no plausible range is left out.
    """
    found = {}
    shape = BY_CODE.get(geometry.form)
    for column in shape.columns if shape else ():
        if not column.needed or column.field not in _SUPPOSED:
            continue
        names = column.columns
        if any(getattr(geometry, name) is not None for name in names):
            continue
        row = unknowns.find(name=column.field)
        once = column.value_of(entered={name: once_said.get(name) for name in names})
        found[row.name] = unknowns.axis_of(
            unknown=row,
            of_value=rope_diameter_mm if row.of else None,
            once_said=once,
        )
    return found
