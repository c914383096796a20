"""The lines of a regroove order: each with its tolerance and where it comes from."""

from collections.abc import Iterator
from math import radians, sin

from inspections.decisions.planned_cut import PlannedCut
from inspections.decisions.records import GrooveDrawing, MachineFacts, OrderLine
from inspections.decisions.records.option import Source
from inspections.engineering.groove import FORMS, SetBy
from inspections.engineering.verdict import Item
from inspections.reasons import Code, Quantity, Term, because

REGISTER = Term.SOURCE_REGISTER
TOLERANCE = Term.TOLERANCE_COMMON_PRACTICE
# Tolerances that shops usually hold; common practice, no source.
ANGLE_DEG = 0.5
UNDERCUT_DEG = 1.0
SLOT_MM = 0.1
PITCH_MM = 0.2
# A seat is never turned smaller than its nominal radius: it would pinch the rope.
SEAT_OVER_MM = 0.1
EQUAL_WITHIN_MM = 0.10
RUNOUT_SHARE = 2000.0

# name, words, unit, half tolerance; by form, what the tool is set by.
_ANGLE = ("groove_angle_deg", Term.GROOVE_ANGLE, "deg", ANGLE_DEG)
_MOUTH = ("groove_angle_deg", Term.MOUTH_ANGLE, "deg", ANGLE_DEG)
_UNDERCUT = ("undercut_angle_deg", Term.UNDERCUT_ANGLE, "deg", UNDERCUT_DEG)
_PITCH = ("groove_pitch_mm", Term.GROOVE_PITCH, "mm", PITCH_MM)
_SET_BY = {
    SetBy.GROOVE_ANGLE: _ANGLE,
    SetBy.MOUTH_ANGLE: _MOUTH,
    SetBy.UNDERCUT_ANGLE: _UNDERCUT,
}
# Told where registered, not asked for where not.
_EXTRA = (
    ("slot_depth_mm", Term.LINE_SLOT_DEPTH, "mm"),
    ("slot_taper_deg", Term.LINE_SLOT_TAPER, "deg"),
    ("flat_bottom_width_mm", Term.LINE_FLAT_BOTTOM, "mm"),
    ("rim_width_mm", Term.LINE_RIM_WIDTH, "mm"),
    ("hardness_hb", Term.LINE_HARDNESS, "HB"),
    ("hardened_depth_mm", Term.LINE_HARDENED_AGAIN, "mm"),
    ("underside_runout_mm", Term.LINE_UNDERSIDE_RUNOUT, "mm"),
)

Found = Iterator[OrderLine | Term]


def of_order(
    *, facts: MachineFacts, drawing: GrooveDrawing, cut: PlannedCut
) -> tuple[tuple[OrderLine, ...], tuple[Term, ...]]:
    """Return the lines, and what the tool is set by and nobody knows."""
    found = [
        *_form(facts, drawing),
        *_seat(facts, drawing),
        *_count(facts, drawing),
        *_cut(cut),
        *_metal(facts),
        *_extra(drawing),
        *_proof(facts, drawing),
    ]
    lines = tuple(each for each in found if isinstance(each, OrderLine))
    return lines, tuple(each for each in found if isinstance(each, Term))


def _form(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    if facts.sheave is None:
        yield Term.ORDER_FORM
        return
    form = facts.sheave.form
    yield OrderLine(
        name="form",
        called=Term.LINE_FORM,
        text=form.value,
        sources=(_source(drawing, "form"),),
    )
    angles = [_SET_BY[each] for each in FORMS[form].set_by if each in _SET_BY]
    for name, words, unit, tolerance in (*angles, _PITCH):
        value = getattr(drawing, name)
        if value is None:
            yield words
            continue
        yield _line(name, words, value, unit, tolerance, _source(drawing, name))


def _seat(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    """Yield radius and slot of a turned seat."""
    set_by = FORMS[facts.sheave.form].set_by if facts.sheave else ()
    if SetBy.SEAT not in set_by:
        return
    radius = drawing.seat_radius_mm
    if radius is None:
        yield Term.SEAT_RADIUS
        return
    yield OrderLine(
        name="seat_radius_mm",
        called=Term.LINE_SEAT_RADIUS,
        value=radius,
        unit="mm",
        lower=radius,
        upper=radius + SEAT_OVER_MM,
        sources=(_source(drawing, "seat_radius_mm"), TOLERANCE),
    )
    if SetBy.SLOT in set_by:
        yield from _slot(drawing, radius)


def _slot(drawing: GrooveDrawing, radius_mm: float) -> Found:
    width, source = drawing.slot_width_mm, _source(drawing, "slot_width_mm")
    if width is None and drawing.undercut_angle_deg is not None:
        width = 2.0 * radius_mm * sin(radians(drawing.undercut_angle_deg) / 2.0)
        source = Term.SOURCE_DERIVED_SLOT
    if width is None:
        yield Term.SLOT_WIDTH
    else:
        yield _line("slot_width_mm", Term.SLOT_WIDTH, width, "mm", SLOT_MM, source)
    clearance = drawing.bottom_clearance_new_mm
    if clearance is None:
        yield Term.SLOT_DEPTH
        return
    yield OrderLine(
        name="bottom_clearance_new_mm",
        called=Term.LINE_SLOT_BOTTOM,
        value=clearance,
        unit="mm",
        lower=clearance,
        upper=clearance + 2.0 * SLOT_MM,
        sources=(_source(drawing, "bottom_clearance_new_mm"), TOLERANCE),
    )


def _count(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    grooves = len({seat.groove for seat in facts.seats} | dict(drawing.axial_mm).keys())
    if grooves:
        yield OrderLine(
            name="grooves",
            called=Term.LINE_GROOVES,
            value=float(grooves),
            sources=(REGISTER,),
        )
    if facts.rope_diameter_mm is None:
        yield Term.ROPE_NOMINAL_DIAMETER
    else:
        yield OrderLine(
            name="rope_diameter_mm",
            called=Term.LINE_ROPE_DIAMETER,
            value=facts.rope_diameter_mm,
            unit="mm",
            sources=(_source(drawing, "rope_diameter_mm"),),
        )
    if not drawing.axial_mm:
        yield Term.GROOVE_PLACES


def _cut(cut: PlannedCut) -> Found:
    plan = cut.plan
    if plan is None:
        return
    after = plan.pitch_diameter_mm
    derived = Term.SOURCE_DERIVED_DEEPEST
    yield OrderLine(
        name="cut_depth_mm",
        called=because(
            Code.LINE_CUT_DEPTH,
            groove=plan.deepest_groove,
            depth=Quantity(plan.deepest_seat_mm, "mm"),
        ),
        value=plan.cut_depth_mm,
        unit="mm",
        sources=(derived,),
    )
    yield OrderLine(
        name="pitch_diameter_mm",
        called=because(
            Code.LINE_PITCH_DIAMETER, within=Quantity(EQUAL_WITHIN_MM, "mm")
        ),
        value=after,
        unit="mm",
        sources=(derived, Term.SOURCE_EQUALITY),
    )
    yield OrderLine(
        name="runout_mm",
        called=Term.LINE_RUNOUT,
        value=after / RUNOUT_SHARE,
        unit="mm",
        upper=after / RUNOUT_SHARE,
        sources=(Term.SOURCE_GB_T_24478,),
    )


def _metal(facts: MachineFacts) -> Found:
    minimum = facts.rim.minimum_mm if facts.rim else None
    if minimum is not None:
        yield OrderLine(
            name="minimum_rim_mm",
            called=Term.LINE_LEAST_METAL,
            value=minimum,
            unit="mm",
            lower=minimum,
            sources=(Term.SOURCE_MAKER,),
        )
    smallest = facts.proof.minimum_diameter_mm
    if smallest is not None:
        yield OrderLine(
            name="minimum_pitch_diameter_mm",
            called=Term.LINE_LEAST_DIAMETER,
            value=smallest,
            unit="mm",
            lower=smallest,
            sources=(Term.SOURCE_MAKER,),
        )


def _extra(drawing: GrooveDrawing) -> Found:
    for name, called, unit in _EXTRA:
        value = getattr(drawing, name)
        if value is not None:
            yield OrderLine(
                name=name,
                called=called,
                value=value,
                unit=unit,
                sources=(_source(drawing, name),),
            )
    for name, called in (
        ("material", Term.LINE_MATERIAL),
        ("rim_construction", Term.LINE_RIM_CONSTRUCTION),
        ("datum_mark", Term.LINE_DATUM_MARK),
    ):
        text = getattr(drawing, name)
        if text:
            yield OrderLine(name=name, called=called, text=text, sources=(REGISTER,))


def _proof(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    """Yield the crack check; a sheave with a crack is not cut at all."""
    yield OrderLine(
        name="crack_check",
        called=Term.CRACK_CHECK,
        answer=_crack(facts, drawing),
        sources=(Term.SOURCE_READINGS,),
    )


def _crack(facts: MachineFacts, drawing: GrooveDrawing) -> Item:
    if facts.proof.crack_free is None:
        return Term.CRACK_NOT_CHECKED
    if not facts.proof.crack_free:
        return because(Code.CRACK_FOUND)
    if drawing.crack_checked_on is None:
        return because(Code.NO_CRACK)
    return because(Code.NO_CRACK_ON, day=drawing.crack_checked_on)


def _source(drawing: GrooveDrawing, name: str) -> Term:
    return Term.SOURCE_TRIED if name in drawing.tried else REGISTER


def _line(
    name: str,
    called: Term,
    value: float,
    unit: str,
    tolerance: float,
    source: Source = REGISTER,
) -> OrderLine:
    return OrderLine(
        name=name,
        called=called,
        value=value,
        unit=unit,
        lower=value - tolerance,
        upper=value + tolerance,
        sources=(source, TOLERANCE),
    )
