"""The rim cut across all grooves, with the metal that stands under each."""

from itertools import pairwise

from reportlab.graphics import shapes

from reports import content
from reports.figures import hatching, legend, lettering, marks, palette, scaling

# A label without neighbours may be so many times as wide.
_ALONE = 2.5
_ROW = 9.0


def rim_section(
    *,
    rim: content.RimSection,
    wording: content.Wording,
    width: float = 490.0,
    height: float = 220.0,
) -> shapes.Drawing:
    """Return the section within width and height, in points."""
    entries = _legend(rim, wording)
    has_cut = any(metal.after_cut for metal in rim.thicknesses)
    foot = legend.height(entries, width) + 16 + (4 + has_cut) * _ROW
    everything = (*rim.metal, *rim.thickest_underside, *rim.after_cut)
    place = scaling.fitting(
        left_mm=min(x for x, _ in everything),
        right_mm=max(x for x, _ in everything),
        low_mm=min(y for _, y in everything),
        high_mm=max(y for _, y in everything),
        corner=(0.0, foot),
        room=(width - 60, height - foot - 4),
    )
    top = place.point((0.0, max(y for _, y in everything)))[1]
    drawing = shapes.Drawing(width, top + 3)
    _metal(drawing, rim, place)
    _thicknesses(drawing, rim, wording, place, foot)
    bottom = legend.height(entries, width) + 4
    drawing.add(
        scaling.scale_bar(
            bar=rim.scale_bar, placement=place, wording=wording, left=0.5, bottom=bottom
        )
    )
    drawing.add(legend.draw(entries, left=0, bottom=0, width=width))
    return drawing


def _metal(
    drawing: shapes.Drawing, rim: content.RimSection, place: scaling.Placement
) -> None:
    metal = place.points(rim.metal)
    drawing.add(marks.area(metal, fill=palette.METAL))
    drawing.add(hatching.hatch(metal))
    drawing.add(marks.path([*metal, metal[0]], weight=1.1))
    if rim.thickest_underside:
        thickest = place.points(rim.thickest_underside)
        drawing.add(marks.path(thickest, weight=0.6, dash=(1.5, 1.8)))
    if rim.least_line:
        least = place.points(rim.least_line)
        drawing.add(marks.path(least, weight=1.1, dash=(5, 2.5)))
    if rim.after_cut:
        cut = place.points(rim.after_cut)
        drawing.add(
            marks.path(cut, colour=palette.LOST_EDGE, weight=0.8, dash=(6, 2, 1.5, 2))
        )


def _thicknesses(
    drawing: shapes.Drawing,
    rim: content.RimSection,
    wording: content.Wording,
    place: scaling.Placement,
    foot: float,
) -> None:
    """Draw a dimension in the metal of each groove and its words underneath."""
    xs = [place.point(metal.top)[0] for metal in rim.thicknesses]
    room = min((b - a for a, b in pairwise(xs)), default=60.0) - 4
    for metal in rim.thicknesses:
        start, end = place.point(metal.top), place.point(metal.bottom)
        drawing.add(
            marks.box(
                start[0] - 2.6, end[1], 5.2, start[1] - end[1], fill=palette.PAPER
            )
        )
        drawing.add(marks.arrow_line(start, end, weight=0.7))
        leader = ((start[0], end[1] - 1), (start[0], foot - 1))
        drawing.add(marks.line(*leader, colour=palette.SOFT_INK, weight=0.3))
        _labels(drawing, metal, wording, start[0], foot, room)


def _labels(
    drawing: shapes.Drawing,
    metal: content.MetalUnderGroove,
    wording: content.Wording,
    x: float,
    foot: float,
    room: float,
) -> None:
    face = lettering.BOLD if metal.is_thinnest else lettering.REGULAR
    rows = [metal.label, metal.value]
    if metal.after_cut:
        rows.append(f"→ {metal.after_cut}")
    if metal.is_thinnest:
        rows.append(f"▲ {wording.legend_thinnest}")
    for index, words in enumerate(rows, start=1):
        # Beside the last line of the thinnest groove no other has one.
        alone = metal.is_thinnest and index == len(rows)
        drawing.add(
            marks.text(
                x,
                foot - 1 - index * _ROW,
                words,
                face=face,
                anchor="middle",
                room=_ALONE * room if alone else room,
            )
        )


def _legend(rim: content.RimSection, wording: content.Wording) -> list[legend.Entry]:
    entries = []
    if rim.after_cut:
        dashed = legend.stroke(
            colour=palette.LOST_EDGE, weight=0.8, dash=(6, 2, 1.5, 2)
        )
        entries.append(legend.Entry(sample=dashed, words=f"→ {wording.legend_cut}"))
    if rim.least_line:
        dashes = legend.stroke(weight=1.1, dash=(5, 2.5))
        entries.append(legend.Entry(sample=dashes, words=wording.legend_least_metal))
    if rim.thickest_underside:
        dotted = legend.stroke(weight=0.6, dash=(1.5, 1.8))
        entries.append(
            legend.Entry(sample=dotted, words=wording.legend_thickest_underside)
        )
    return entries
