"""The lines of a regroove order: each with its tolerance and where it comes from."""

from collections.abc import Iterator
from math import radians, sin

from inspections.decisions.planned_cut import PlannedCut
from inspections.decisions.records import GrooveDrawing, MachineFacts, OrderLine
from inspections.engineering.groove import FORMS, SetBy
from inspections.reasons import Term, english

REGISTER = "the register"
PRACTICE = "common practice, no source"
EQUALITY = "GB/T 24478-2009 (from memory)"
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
    ("slot_depth_mm", "depth of the slot below its mouth", "mm"),
    ("slot_taper_deg", "taper of the slot, each side", "deg"),
    ("flat_bottom_width_mm", "width of the flat bottom", "mm"),
    ("rim_width_mm", "width of the rim", "mm"),
    ("hardness_hb", "hardness as registered", "HB"),
    ("underside_runout_mm", "run-out of the cast underside as read", "mm"),
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
    yield OrderLine(name="form", words="groove form", text=form.value, source=REGISTER)
    angles = [_SET_BY[each] for each in FORMS[form].set_by if each in _SET_BY]
    for name, words, unit, tolerance in (*angles, _PITCH):
        value = getattr(drawing, name)
        if value is None:
            yield words
            continue
        yield _line(name, english(words), value, unit, tolerance)


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
        words="seat radius, never smaller",
        value=radius,
        unit="mm",
        lower=radius,
        upper=radius + SEAT_OVER_MM,
        source=f"{REGISTER}; tolerance {PRACTICE}",
    )
    if SetBy.SLOT in set_by:
        yield from _slot(drawing, radius)


def _slot(drawing: GrooveDrawing, radius_mm: float) -> Found:
    width, source = drawing.slot_width_mm, REGISTER
    if width is None and drawing.undercut_angle_deg is not None:
        width = 2.0 * radius_mm * sin(radians(drawing.undercut_angle_deg) / 2.0)
        source = "derived: 2 r sin(β/2)"
    if width is None:
        yield Term.SLOT_WIDTH
    else:
        yield _line("slot_width_mm", "width of the slot", width, "mm", SLOT_MM, source)
    clearance = drawing.bottom_clearance_new_mm
    if clearance is None:
        yield Term.SLOT_DEPTH
        return
    yield OrderLine(
        name="bottom_clearance_new_mm",
        words="from a new rope to the slot's bottom, never less",
        value=clearance,
        unit="mm",
        lower=clearance,
        upper=clearance + 2.0 * SLOT_MM,
        source=f"{REGISTER}; tolerance {PRACTICE}",
    )


def _count(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    grooves = len({seat.groove for seat in facts.seats} | dict(drawing.axial_mm).keys())
    if grooves:
        yield OrderLine(
            name="grooves",
            words="number of grooves",
            value=float(grooves),
            source=REGISTER,
        )
    if facts.rope_diameter_mm is None:
        yield Term.ROPE_NOMINAL_DIAMETER
    else:
        yield OrderLine(
            name="rope_diameter_mm",
            words="nominal diameter of the ropes to be fitted",
            value=facts.rope_diameter_mm,
            unit="mm",
            source=REGISTER,
        )
    if not drawing.axial_mm:
        yield Term.GROOVE_PLACES


def _cut(cut: PlannedCut) -> Found:
    plan = cut.plan
    if plan is None:
        return
    after = plan.pitch_diameter_mm
    derived = "derived from the deepest seat"
    yield OrderLine(
        name="cut_depth_mm",
        words=f"depth to turn below the seats as last turned; groove "
        f"{plan.deepest_groove} is the deepest at {plan.deepest_seat_mm:.2f} mm",
        value=plan.cut_depth_mm,
        unit="mm",
        source=derived,
    )
    yield OrderLine(
        name="pitch_diameter_mm",
        words="pitch diameter of all grooves after the cut, equal within "
        f"{EQUAL_WITHIN_MM:.2f} mm",
        value=after,
        unit="mm",
        source=f"{derived}; equality {EQUALITY}",
    )
    yield OrderLine(
        name="runout_mm",
        words="run-out of the seats after the cut, at most D/2000",
        value=after / RUNOUT_SHARE,
        unit="mm",
        upper=after / RUNOUT_SHARE,
        source=EQUALITY,
    )


def _metal(facts: MachineFacts) -> Found:
    minimum = facts.rim.minimum_mm if facts.rim else None
    if minimum is not None:
        yield OrderLine(
            name="minimum_rim_mm",
            words="metal that must stay under every groove bottom, at every angle",
            value=minimum,
            unit="mm",
            lower=minimum,
            source="the maker's, as registered",
        )
    smallest = facts.proof.minimum_diameter_mm
    if smallest is not None:
        yield OrderLine(
            name="minimum_pitch_diameter_mm",
            words="least pitch diameter",
            value=smallest,
            unit="mm",
            lower=smallest,
            source="the maker's, as registered",
        )


def _extra(drawing: GrooveDrawing) -> Found:
    for name, words, unit in _EXTRA:
        value = getattr(drawing, name)
        if value is not None:
            yield OrderLine(
                name=name, words=words, value=value, unit=unit, source=REGISTER
            )
    for name, words in (
        ("material", "material"),
        ("rim_construction", "make of the rim"),
        ("datum_mark", "how groove 1 and rim mark A are told"),
    ):
        text = getattr(drawing, name)
        if text:
            yield OrderLine(name=name, words=words, text=text, source=REGISTER)


def _proof(facts: MachineFacts, drawing: GrooveDrawing) -> Found:
    """Yield the crack check; a sheave with a crack is not cut at all."""
    said = {True: "none found", False: "a crack was found", None: "not done"}
    yield OrderLine(
        name="crack_check",
        words="crack check",
        text=" ".join((said[facts.proof.crack_free], drawing.crack_checked_on)).strip(),
        source="readings",
    )


def _line(
    name: str,
    words: str,
    value: float,
    unit: str,
    tolerance: float,
    source: str = REGISTER,
) -> OrderLine:
    return OrderLine(
        name=name,
        words=words,
        value=value,
        unit=unit,
        lower=value - tolerance,
        upper=value + tolerance,
        source=f"{source}; tolerance {PRACTICE}",
    )
