"""The worst groove in section: as new, as worn, with its rope, true to scale."""

from dataclasses import dataclass, replace

from django.utils.translation import gettext as _

from fleet.models import Groove, SheaveGeometry
from inspections import inputs
from inspections.engineering.groove import TurnedGroove, contact_at
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, SeatReading, Snapshot
from reports import content
from reports.composition import words
from reports.composition.reader import Reader
from reports.figures import outlines

# Where no crown height as new is known, the rim is drawn this far up the rope.
_ASSUMED_SEAT_RATIO = 0.75
# Seats that differ by less are printed alike.
_ALIKE_MM = 0.005


@dataclass(frozen=True, slots=True, kw_only=True)
class Deepest:
    """The groove whose seat is deepest, its last reading, and its shape as turned.

    ``seat_bottom_mm`` is how far the seat's lowest point lies below the rim as turned;
    ``note`` says where the height of the rim is from, ``rim_is_read`` whether it was.
    """

    row: Groove
    last: SeatReading
    geometry: SheaveGeometry
    kernel: TurnedGroove
    shape: outlines.GrooveShape
    seat_bottom_mm: float
    note: str
    rim_is_read: bool = False


def deepest(snapshot: Snapshot, *, rather: int | None = None) -> Deepest | None:
    """Return the deepest groove, None where its shape or seat is not known.

    Of grooves as deep as each other the one that is numbered `rather`, so that all
    that a document says of the deepest is about one groove.
    """
    geometry = snapshot.geometry
    try:
        kernel = inputs.groove_cut(snapshot)
        series = inputs.seat_series(snapshot, groove=kernel)
    except (Missing, OutsideValidity):
        return None
    rows = [(series[g.pk][-1], g) for g in snapshot.grooves if g.pk in series]
    if not rows or geometry is None:
        return None
    most = max(last.seat.sunk_mm for last, _row in rows)
    alike = [pair for pair in rows if most - pair[0].seat.sunk_mm <= _ALIKE_MM]
    named = [pair for pair in alike if pair[1].number == rather]
    last, row = (named or alike)[0]
    baseline = inputs.seats.baselines(snapshot).get(row.pk)
    diameter = last.rope_diameter_mm
    if baseline is not None:
        seat_bottom = baseline[1] - baseline[0]
        note = _("The height of the rim is that read as new.")
    else:
        seat_bottom = _ASSUMED_SEAT_RATIO * diameter
        note = _("No crown height as new is known: the height of the rim is assumed.")
    shape = shape_of(kernel, seat_bottom=seat_bottom, diameter=diameter)
    return Deepest(
        row=row,
        last=last,
        geometry=geometry,
        kernel=kernel,
        shape=shape,
        seat_bottom_mm=seat_bottom,
        note=note,
        rim_is_read=baseline is not None,
    )


def to_be_cut(found: Deepest, then: Snapshot) -> Deepest:
    """Return the same seat with the groove that is to be cut; the same where none is.

    Where it is not known, nothing else than its present shape is drawn.
    """
    if then.geometry is None or then.geometry is found.geometry:
        return found
    return replace(found, kernel=inputs.groove_cut(then), geometry=then.geometry)


def groove_section(
    snapshot: Snapshot, *, reader: Reader, rather: int | None = None
) -> content.GrooveSection | None:
    """Return the section of the groove whose seat is deepest, or None."""
    found = deepest(snapshot, rather=rather)
    if found is None:
        return None
    try:
        contact = contact_at(
            groove=found.kernel,
            rope_diameter_mm=found.last.rope_diameter_mm,
            seat_depth_mm=found.last.seat.sunk_mm,
        )
    except (Missing, OutsideValidity):
        return None
    return _drawn(
        found.row,
        found.last,
        shape=found.shape,
        arcs=contact.arcs_rad,
        reader=reader,
        note=found.note,
    )


def shape_of(
    groove: TurnedGroove, *, seat_bottom: float, diameter: float
) -> outlines.GrooveShape:
    """Return the outline's shape as the groove was turned."""
    turned = groove.profile(seat_bottom_mm=seat_bottom, rope_radius_mm=diameter / 2)
    return outlines.GrooveShape(
        height=turned.height,
        breaks_mm=turned.breaks_mm,
        seat_centre_mm=turned.seat_centre_mm,
    )


def _drawn(
    row: Groove,
    last: SeatReading,
    *,
    shape: outlines.GrooveShape,
    arcs: tuple[tuple[float, float], ...],
    reader: Reader,
    note: str,
) -> content.GrooveSection:
    worn, diameter = last.seat.sunk_mm, last.rope_diameter_mm
    centre = (0.0, shape.seat_centre_mm - worn)
    half_width = diameter * 0.82
    low = centre[1] - diameter
    dimensions = [
        content.Dimension(
            start=(diameter * 0.55, shape.seat_centre_mm),
            end=(diameter * 0.55, centre[1]),
            label=_("sunk %(length)s") % {"length": _fixed(reader.length(worn))},
        )
    ]
    if last.clearance_mm is not None:
        bottom = centre[1] - diameter / 2
        dimensions.append(
            content.Dimension(
                start=(0.0, bottom),
                end=(0.0, bottom - max(last.clearance_mm, 0.0)),
                label=_("clearance %(length)s")
                % {"length": _fixed(reader.length(last.clearance_mm))},
            )
        )
    floor = min(low, centre[1] - diameter / 2 - (last.clearance_mm or 0.0) - 4.0)
    return content.GrooveSection(
        title=_("Groove %(number)s, the deepest seat") % {"number": row.number},
        new_outline=outlines.outline(shape=shape, half_width_mm=half_width),
        worn_outline=outlines.outline(
            shape=shape,
            half_width_mm=half_width,
            rope_radius_mm=diameter / 2,
            seat_depth_mm=worn,
        ),
        metal_floor_mm=min(floor, shape.seat_centre_mm - diameter * 1.6),
        rope_centre=centre,
        rope_diameter_mm=diameter,
        rope_label=reader.length(diameter),
        contact_arcs=tuple(
            outlines.arc(
                centre=centre, radius_mm=diameter / 2, start_rad=start, end_rad=end
            )
            for start, end in arcs
        ),
        dimensions=tuple(dimensions),
        scale_bar=content.ScaleBar(length_mm=5.0, label=reader.length(5.0, digits=0)),
        caption=_("Worn outline worked out from %(route)s, read on %(day)s.")
        % {"route": _route(last), "day": reader.day(last.taken_at)}
        + f" {note}",
        description=_("Groove %(number)s with its rope sunk %(length)s.")
        % {"number": row.number, "length": reader.length(worn)},
    )


def _route(last: SeatReading) -> str:
    """Return what a seat depth was worked out from, in words."""
    return words.said(str(last.seat.route).replace("_", " ").lower())


def _fixed(text: str) -> str:
    """Keep a number and its unit on one line."""
    return text.replace(" ", "\N{NO-BREAK SPACE}")
