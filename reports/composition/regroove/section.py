"""The groove as it is and as it is to be turned, with a new rope in it, to scale."""

from math import cos, pi, radians, sin

from django.utils.translation import gettext as _

from inspections.engineering.cut import CutPlan
from inspections.engineering.groove import SetBy
from inspections.inputs import Snapshot
from reports import content
from reports.composition import groove_figure
from reports.composition.groove_figure import Deepest
from reports.composition.reader import Reader
from reports.figures import outlines
from reports.figures.outlines import GrooveShape

# Where the arrow of the seat radius points to, from straight down.
_RADIUS_AT = pi / 3.2


def to_turn(
    snapshot: Snapshot, plan: CutPlan | None, *, then: Snapshot, reader: Reader
) -> content.GrooveSection | None:
    """Return the deepest groove before and after the cut, with the grooves of `then`.

    None where the groove's shape or the depth of the cut is not known: nothing is
    drawn that is only guessed.
    """
    if plan is None or then.rope_set is None:
        return None
    found = groove_figure.deepest(snapshot, rather=plan.deepest_groove)
    if found is None:
        return None
    diameter = then.rope_set.nominal_diameter_mm
    found = groove_figure.to_be_cut(found, then)
    turned = groove_figure.shape_of(
        found.kernel,
        seat_bottom=found.seat_bottom_mm + plan.cut_depth_mm,
        diameter=diameter,
    )
    return _drawn(found, plan, turned, diameter, reader=reader)


def _drawn(
    found: Deepest,
    plan: CutPlan,
    turned: GrooveShape,
    diameter: float,
    *,
    reader: Reader,
) -> content.GrooveSection:
    half_width = diameter * 0.82
    centre = (0.0, _rope_centre(found, turned, diameter))
    lowest = turned.height(0.0)
    return content.GrooveSection(
        title=_("Groove %(number)s, the deepest seat") % {"number": found.row.number},
        new_outline=outlines.outline(
            shape=found.shape,
            half_width_mm=half_width,
            rope_radius_mm=found.last.rope_diameter_mm / 2,
            seat_depth_mm=found.last.seat.sunk_mm,
        ),
        worn_outline=outlines.outline(shape=turned, half_width_mm=half_width),
        metal_floor_mm=min(lowest - 4.0, centre[1] - diameter),
        rope_centre=centre,
        rope_diameter_mm=diameter,
        rope_label="",
        contact_arcs=(),
        dimensions=_dimensions(found, plan, turned, diameter, reader=reader),
        scale_bar=content.ScaleBar(length_mm=5.0, label=reader.length(5.0, digits=0)),
        caption=" ".join(
            (
                _angles(found, reader=reader),
                _("Drawn with a new rope of %(length)s.")
                % {"length": reader.length(diameter)},
                found.note,
            )
        ),
        description=_(
            "Groove %(number)s before and after a cut of %(length)s, with a new rope."
        )
        % {"number": found.row.number, "length": reader.length(plan.cut_depth_mm)},
    )


def _rope_centre(found: Deepest, turned: GrooveShape, diameter: float) -> float:
    """Return the height of a new rope's centre: its bottom on the seat's bottom.

    From there the clearance to the slot's bottom is registered.
    """
    radius = found.geometry.seat_radius_mm
    if SetBy.SEAT not in found.kernel.set_by or radius is None:
        return turned.seat_centre_mm
    return turned.seat_centre_mm - radius + diameter / 2


def _dimensions(
    found: Deepest,
    plan: CutPlan,
    turned: GrooveShape,
    diameter: float,
    *,
    reader: Reader,
) -> tuple[content.Dimension, ...]:
    beside, centre = diameter * 0.62, turned.seat_centre_mm
    dimensions = [
        _dimension(
            (beside, found.shape.seat_centre_mm),
            (beside, centre),
            _("to turn %(length)s"),
            plan.cut_depth_mm,
            reader=reader,
        )
    ]
    geometry = found.geometry
    radius = geometry.seat_radius_mm
    if radius is not None and SetBy.SEAT in found.kernel.set_by:
        end = (radius * sin(_RADIUS_AT), centre - radius * cos(_RADIUS_AT))
        dimensions.append(
            _dimension(
                (0.0, centre), end, _("seat radius %(length)s"), radius, reader=reader
            )
        )
    dimensions += _slot(found, turned, diameter, reader=reader)
    return tuple(dimensions)


def _slot(
    found: Deepest, turned: GrooveShape, diameter: float, *, reader: Reader
) -> list[content.Dimension]:
    """Return the slot's width and the room under the rope, where there is a slot."""
    geometry, bottom = found.geometry, turned.height(0.0)
    width = geometry.slot_width_mm
    if SetBy.SLOT not in found.kernel.set_by or geometry.seat_radius_mm is None:
        return []
    half = geometry.seat_radius_mm * sin(
        radians(geometry.undercut_angle_deg or 0.0) / 2
    )
    room = _rope_centre(found, turned, diameter) - diameter / 2 - bottom
    low = bottom + 0.25 * room
    return [
        _dimension(
            (0.0, bottom + room),
            (0.0, bottom),
            _("under the rope %(length)s"),
            room,
            reader=reader,
        ),
        _dimension(
            (-half, low),
            (half, low),
            _("slot %(length)s"),
            width or 2 * half,
            reader=reader,
        ),
    ]


def _dimension(
    start: content.Point,
    end: content.Point,
    label: str,
    length_mm: float,
    *,
    reader: Reader,
) -> content.Dimension:
    # A number and its unit stay on one line.
    length = reader.length(length_mm).replace(" ", "\N{NO-BREAK SPACE}")
    return content.Dimension(start=start, end=end, label=label % {"length": length})


def _angles(found: Deepest, *, reader: Reader) -> str:
    """Return the angles that the drawing is made with, each by its name."""
    geometry = found.geometry
    named = (
        (_(found.kernel.set_by[0].value), geometry.groove_angle_deg),
        (_("undercut angle"), geometry.undercut_angle_deg),
    )
    told = [f"{name} {reader.local(f'{value:g}')}°" for name, value in named if value]
    text = ", ".join(told)
    return f"{text[:1].upper()}{text[1:]}." if text else ""
