"""How wide the slot stands under each rope: past the method's range it blocks."""

from collections.abc import Sequence
from math import sin

from fleet.models import Groove, Rope
from inspections import inputs
from inspections.assessment.known import Known
from inspections.engineering import blocks
from inspections.engineering.blocks import BlockFacts
from inspections.engineering.groove import UndercutGroove, undercut_angle_rad
from inspections.engineering.validity import OutsideValidity
from inspections.models import Reading
from inspections.reasons import Reason, together


def blocks_traction(known: Known, *, row: Groove, rope: Rope) -> Reason | None:
    """Return why the undercut keeps traction from being assessed, None if not.

    The angle is that of the drawing, its slot as wide as it was read: the limit is one
    on the groove. A rope thinner than its seat stands over a wider angle, which the
    stalled cases are judged with beside it.
    """
    cut = known.groove
    if not isinstance(cut, UndercutGroove):
        return None
    read = [r.value or 0.0 for r in widths_read(known, row)]
    usual_mm = cut.seat_radius_mm
    # The widest that was read since the cut, else as cut: none closes again.
    width_mm = max(read, default=2.0 * usual_mm * sin(cut.undercut_angle_rad / 2.0))
    axis = known.assumed.get("seat_radius_mm")
    # A slot that was read stands over the widest angle under the tightest seat.
    radius_mm = axis.low if read and axis is not None else usual_mm
    try:
        angle_rad = undercut_angle_rad(
            slot_width_mm=width_mm, seat_diameter_mm=2.0 * radius_mm
        )
    except OutsideValidity as error:
        return error.reason
    found = blocks.find(
        facts=BlockFacts(undercut_angle_rad=angle_rad),
        criteria_set=known.snapshot.criteria,
    )
    return together(block.reason for block in found)


def widths_read(known: Known, row: Groove) -> Sequence[Reading]:
    """Return the readings of a groove's slot since it was cut."""
    return [
        reading
        for reading in known.snapshot.of_kind("slot_width")
        if reading.groove_id == row.pk
        and reading.value is not None
        and inputs.seats.is_since_cut(known.snapshot, reading)
    ]
