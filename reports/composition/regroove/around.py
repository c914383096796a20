"""What a cut means around the grooves: the slot's template, the lands, the keepers."""

from collections.abc import Iterator
from itertools import pairwise

from django.utils.translation import gettext as _

from inspections.decisions.records import GrooveDrawing, RegrooveOrder
from inspections.engineering.cut import CutPlan
from inspections.inputs import Snapshot
from reports.composition import groove_figure
from reports.composition.reader import Reader
from reports.figures.outlines import GrooveShape

_STEP_MM = 0.01
_FLAT_MM = 1e-6
_SLOT = ("seat_radius_mm", "slot_width_mm", "bottom_clearance_new_mm")

Row = tuple[str, str, str, str]


def rows(
    snapshot: Snapshot,
    order: RegrooveOrder,
    drawing: GrooveDrawing,
    plan: CutPlan | None,
    *,
    then: Snapshot,
    reader: Reader,
) -> tuple[Row, ...]:
    """Return the rows that a shop needs beside the measures of one groove."""
    return (
        *_template(order, reader=reader),
        *_land(snapshot, drawing, plan, then=then, reader=reader),
        *_keepers(plan, reader=reader),
    )


def _template(order: RegrooveOrder, *, reader: Reader) -> Iterator[Row]:
    """Yield the gauge that is pushed into seat and slot, where there is a slot."""
    found = {line.name: line for line in order.lines if line.value is not None}
    if not all(name in found for name in _SLOT):
        return
    radius, width, below = (found[name].value or 0.0 for name in _SLOT)
    yield (
        _("Template of the slot"),
        _("R %(radius)s, tongue %(width)s wide, %(below)s below the seat")
        % {
            "radius": reader.length(radius),
            "width": reader.length(width),
            "below": reader.length(below),
        },
        "–",
        _("the lines above"),
    )


def _land(
    snapshot: Snapshot,
    drawing: GrooveDrawing,
    plan: CutPlan | None,
    *,
    then: Snapshot,
    reader: Reader,
) -> Iterator[Row]:
    """Yield the land left between two grooves; a dash where the rim is not known."""
    pitch = pitch_of(drawing)
    if plan is None or pitch is None or then.rope_set is None:
        return
    found = groove_figure.deepest(snapshot, rather=plan.deepest_groove)
    value, source = "–", _("to be measured: the height of the rim was never read")
    if found is not None and found.rim_is_read:
        turned = groove_figure.shape_of(
            groove_figure.to_be_cut(found, then).kernel,
            seat_bottom=found.seat_bottom_mm + plan.cut_depth_mm,
            diameter=then.rope_set.nominal_diameter_mm,
        )
        value = reader.length(land_mm(turned, pitch), digits=1)
        source = _("pitch and form of the groove after the cut")
    yield _("Land between two grooves after the cut"), value, "–", source


def pitch_of(drawing: GrooveDrawing) -> float | None:
    """Return the distance of two grooves [mm], the least; None where none is known."""
    places = sorted(place for _number, place in drawing.axial_mm)
    gaps = [after - before for before, after in pairwise(places)]
    return drawing.groove_pitch_mm or min(gaps, default=None)


def land_mm(turned: GrooveShape, pitch_mm: float) -> float:
    """Return what is left of the rim between the mouths of two grooves [mm]."""
    steps = int(pitch_mm / _STEP_MM)
    wide = next(
        (
            n * _STEP_MM
            for n in range(steps)
            if turned.height(n * _STEP_MM) >= -_FLAT_MM
        ),
        pitch_mm / 2.0,
    )
    return max(pitch_mm - 2.0 * wide, 0.0)


def _keepers(plan: CutPlan | None, *, reader: Reader) -> Iterator[Row]:
    if plan is not None:
        yield (
            _("Rope keepers: to be set nearer by"),
            reader.length(plan.cut_depth_mm),
            "–",
            _("the ropes lie deeper by the cut"),
        )
