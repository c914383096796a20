"""Rim metal: what is under every groove of the casting, the thinnest named."""

from dataclasses import replace
from math import hypot, pi, radians
from statistics import fmean
from typing import Any

from fleet.models import Sheave
from fleet.register.choices import DraftDirection, RimConstruction
from inspections import inputs
from inspections.assessment import next_cut
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.assessment.over import Over, assumed_by_table, share_beyond
from inspections.engineering import rim
from inspections.engineering.answer import Answer
from inspections.engineering.groove import Groove, bottoming_depth_mm
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot, noise
from inspections.models import Grade, Reading
from inspections.reasons import Code, Reason, Term, Topic, because, missing, together

RIM_METAL = Topic.RIM_METAL
_ANGLES = {"A": 0.0, "B": pi / 2, "C": pi, "D": 3 * pi / 2}
_THICKER = {
    DraftDirection.THICKER_AT_GROOVE_ONE: rim.Thicker.TOWARDS_DATUM,
    DraftDirection.THICKER_AT_LAST_GROOVE: rim.Thicker.AWAY_FROM_DATUM,
}
# A groove's chance of having less metal than the maker's minimum that is told; our
# rule, no source.
TOLD_FROM = 0.01
_BEFORE_THE_CUT = missing(Term.RIM_SURVEY_SINCE_CUT).with_also(
    because(Code.LESS_METAL_IF_TURNED)
)
_NO_BOLTS = missing(Term.BOLT_HOLES).with_also(because(Code.LESS_METAL_OVER_BOLTS))


def findings(known: Known) -> list[Draft]:
    """Return the findings on rim metal and on room for a cut, or why there are none."""
    snapshot = known.snapshot
    try:
        sheave = snapshot.need_sheave()
        metal, given, used = metal_under(snapshot, sheave)
    except (Missing, OutsideValidity) as error:
        return [not_assessed(topic=RIM_METAL, reason=error.reason)]
    over = rim.metal_over(**given)
    least = over.least
    if over.runout_mm is not None:
        given |= {"runout": rim.CastRunout(indicator_mm=over.runout_mm.high)}
    thinnest = next((g for g in least.grooves if g.number == least.thinnest), None)
    if thinnest is None:
        reason = missing(*metal.missing)
        return [not_assessed(topic=RIM_METAL, reason=reason, readings=used)]
    value = thinnest.nominal_mm if thinnest.worst_mm is None else thinnest.worst_mm
    detail = {
        "given": plain(given) | {"draft_kind": type(given["draft"]).__name__},
        "metal": plain(least),
        "thinnest_groove": least.thinnest,
    }
    if metal.minimum_mm is None:
        return [
            Draft(
                topic=RIM_METAL,
                grade=Grade.NOT_ASSESSED,
                place=f"groove {thinnest.number}",
                value=value,
                unit="mm",
                reason=because(Code.NO_LEAST_METAL),
                detail=detail,
                readings=used,
            )
        ]
    judged = _judged(least, thinnest, value, detail, used)
    if over.runout_mm is not None:
        judged = _over_runout(judged, over)
    if _lacks_bolts(sheave, given):
        judged = _not_in_order(judged, _NO_BOLTS)
    if is_of_an_earlier_cut(snapshot, sheave):
        return [
            _not_in_order(judged, _BEFORE_THE_CUT),
            not_assessed(topic=next_cut.NEXT_CUT, reason=_BEFORE_THE_CUT),
        ]
    return [
        judged,
        *next_cut.findings(known, metal),
    ]


def _over_runout(judged: Draft, over: rim.MetalOver) -> Draft:
    """Return the finding where the run-out of the casting was not measured.

    It is judged with none, with the usual and with the plausible worst.
    """
    number, minimum = over.least.thinnest, judged.limit or 0.0
    best = {g.number: g for g in over.most.grooves}[number or 0]
    found = over.answer(groove=number or 0, minimum_mm=minimum)
    usual_mm = found.usual_mm if found.usual_mm is not None else found.least_mm
    ends = [found.least_mm, found.most_mm]
    grade = judged.grade
    if found.answer is not Answer.WITHIN:
        grade = Grade.NOT_ASSESSED
        if usual_mm is not None and usual_mm < minimum:
            grade = Grade.PLAN_WORK
        if (best.probability_below_minimum or 0.0) > 0.5:
            grade = Grade.ACT_NOW
    worst, most = (None if mm is None else mm - minimum for mm in ends)
    chance = None
    if worst is not None and most is not None:
        chance = share_beyond(worst=worst, best=most)
    reason = missing(Term.RUNOUT_UNDERSIDE)
    return replace(
        judged,
        grade=grade,
        reason=reason if judged.reason is None else judged.reason.with_also(reason),
        over=Over(
            answer=found.answer,
            worst=worst,
            typical=None if usual_mm is None else usual_mm - minimum,
            best=most,
            chance=chance,
            decides="cast_runout_mm",
            unknowns=(assumed_by_table(over.runout_mm),) if over.runout_mm else (),
        ),
    )


def _judged(
    metal: rim.RimMetal,
    thinnest: rim.GrooveMetal,
    value: float | None,
    detail: dict[str, Any],
    used: tuple[int, ...],
) -> Draft:
    """Return the thinnest groove's metal against the maker's minimum."""
    minimum = metal.minimum_mm or 0.0
    margin = (value or 0.0) - minimum
    chance = thinnest.probability_below_minimum
    return Draft(
        topic=RIM_METAL,
        grade=_grade(margin, chance),
        place=f"groove {thinnest.number}",
        value=value,
        limit=minimum,
        margin=margin,
        unit="mm",
        rule=Term.LEAST_METAL_LEFT,
        source="the maker's least metal, as registered",
        how_sure=Certainty.ENTERED,
        reason=together(metal.cautions),
        detail=detail,
        readings=used,
    )


def _lacks_bolts(sheave: Sheave, given: dict[str, Any]) -> bool:
    is_bolted = sheave.rim_construction == RimConstruction.BOLTED
    return is_bolted and given["bolts"] is None


def is_of_an_earlier_cut(snapshot: Snapshot, sheave: Sheave) -> bool:
    """Return whether the rim was last surveyed before its grooves were last cut."""
    survey = _last_survey(snapshot, sheave)
    return not all(inputs.seats.is_since_cut(snapshot, reading) for reading in survey)


def _not_in_order(judged: Draft, reason: Reason) -> Draft:
    """Return a finding whose metal may be less than anything that was read.

    What looks in order is then not known, and what is worse stands.
    """
    grade = judged.grade
    if grade == Grade.IN_ORDER:
        grade = Grade.NOT_ASSESSED
    said = reason if judged.reason is None else judged.reason.with_also(reason)
    return replace(judged, grade=grade, reason=said)


def _grade(margin: float, chance: float | None) -> str:
    """Grade by nominal chance and worst case; a rim that may be too thin is planned."""
    if chance is not None and chance > 0.5:
        return Grade.ACT_NOW
    if margin < 0.0:
        return Grade.PLAN_WORK
    if chance is not None and chance > TOLD_FROM:
        return Grade.KEEP_AN_EYE_ON
    return Grade.IN_ORDER


def metal_under(
    snapshot: Snapshot, sheave: Sheave
) -> tuple[rim.RimMetal, dict[str, Any], tuple[int, ...]]:
    """Return the metal under the grooves, what it is from, and the readings."""
    thickness = list(_last_survey(snapshot, sheave))
    if not thickness:
        raise Missing(Term.RIM_SURVEY)
    runouts = [
        r for r in snapshot.of_kind("underside_runout") if r.sheave_id == sheave.pk
    ]
    runout = None
    if runouts and runouts[-1].value is not None:
        last = runouts[-1]
        runout = rim.CastRunout(indicator_mm=last.value or 0.0, sd_mm=noise.of(last))
    given: dict[str, Any] = {
        "grooves": _bottoms(snapshot),
        "readings": tuple(_thickness(reading) for reading in thickness),
        "draft": _draft(sheave, thickness),
        "runout": runout,
        "web": _web(sheave),
        "bolts": _bolts(sheave),
        "minimum_mm": sheave.minimum_rim_mm,
    }
    used = tuple(r.pk for r in thickness) + tuple(r.pk for r in runouts[-1:])
    return rim.metal(**given), given, used


def _web(sheave: Sheave) -> rim.Web | None:
    if sheave.web_axial_mm is None or sheave.web_thickness_mm is None:
        return None
    return rim.Web(axial_mm=sheave.web_axial_mm, thickness_mm=sheave.web_thickness_mm)


def _bolts(sheave: Sheave) -> rim.Bolts | None:
    """Return the bolt holes of a bolted rim, None if there are none or not known."""
    land, circle = sheave.land_diameter_mm, sheave.bolt_circle_diameter_mm
    hole = sheave.bolt_hole_diameter_mm
    low, high = sheave.bolt_axial_low_mm, sheave.bolt_axial_high_mm
    if sheave.rim_construction != RimConstruction.BOLTED or None in (
        land,
        circle,
        hole,
        low,
        high,
    ):
        return None
    spread = [
        float(sheave.uncertainties.get(name, 0.0)) / 2.0
        for name in ("land_diameter_mm", "bolt_circle_diameter_mm")
    ]
    return rim.Bolts(
        land_radius_mm=(land or 0.0) / 2.0,
        circle_radius_mm=(circle or 0.0) / 2.0,
        hole_diameter_mm=hole or 0.0,
        axial_low_mm=low or 0.0,
        axial_high_mm=high or 0.0,
        sd_mm=hypot(*spread),
    )


def _thickness(reading: Reading) -> rim.ThicknessReading:
    return rim.ThicknessReading(
        axial_mm=float(reading.place["axial_mm"]),
        thickness_mm=reading.value or 0.0,
        sd_mm=noise.of(reading),
        angle_rad=_ANGLES[reading.place["mark"]],
        surface=rim.Surface.LAND,
    )


def _last_survey(snapshot: Snapshot, sheave: Sheave) -> list[Reading]:
    """Return the land readings of the latest visit that took rim thickness."""
    found = [
        r
        for r in snapshot.of_kind("rim_thickness")
        if r.sheave_id == sheave.pk and r.place.get("over") == "land"
    ]
    return [r for r in found if r.visit_id == found[-1].visit_id]


def _draft(sheave: Sheave, thickness: list[Reading]) -> rim.Draft:
    """Return the draft as known, as a stated range, or to be found from places."""
    if len({r.place["axial_mm"] for r in thickness}) > 1:
        return rim.MeasuredDraft()
    thicker = _THICKER.get(DraftDirection(sheave.draft_direction))
    if sheave.draft_deg is None:
        raise Missing(Term.DRAFT_UNDERSIDE)
    if sheave.draft_high_deg is not None or thicker is None:
        high = sheave.draft_high_deg or sheave.draft_deg
        low = sheave.draft_deg if sheave.draft_high_deg is not None else 0.0
        return rim.DraftRange(
            low_rad=radians(low), high_rad=radians(high), thicker=thicker
        )
    return rim.KnownDraft(angle_rad=radians(sheave.draft_deg), thicker=thicker)


def _bottoms(snapshot: Snapshot) -> tuple[rim.GrooveBottom, ...]:
    """Return place and depth of every groove's bottom below the rim. Raises Missing.

    The depth is read, or the clearance as new below a rope whose crown was at a
    known height; it is never taken from a drawing that is not registered.
    """
    found = []
    for row in snapshot.grooves:
        if row.axial_mm is None:
            raise Missing(because(Code.PLACE_OF_GROOVE, groove=row.number))
        depths = depths_since_cut(snapshot, row.pk)
        depth, sd = _depth(snapshot, row.pk, depths)
        found.append(
            rim.GrooveBottom(
                number=row.number,
                axial_mm=row.axial_mm,
                bottom_depth_mm=depth,
                sd_mm=sd,
            )
        )
    if not found:
        raise Missing(Term.SHEAVE_GROOVES)
    return tuple(found)


def depths_since_cut(snapshot: Snapshot, groove_id: int) -> list[Reading]:
    """Return the depths of a groove's bottom as it is now, oldest first.

    What was read before a cut is another bottom's, and less deep.
    """
    return [
        reading
        for reading in snapshot.of_kind("groove_bottom_depth")
        if reading.groove_id == groove_id
        and inputs.seats.is_since_cut(snapshot, reading)
    ]


def _depth(
    snapshot: Snapshot, groove_id: int, depths: list[Reading]
) -> tuple[float, float]:
    if depths:
        last = [r for r in depths if r.visit_id == depths[-1].visit_id]
        return fmean([r.value or 0.0 for r in last]), noise.of(last[0])
    baseline = inputs.seats.baselines(snapshot).get(groove_id)
    groove: Groove = inputs.groove_cut(snapshot)
    if baseline is None:
        raise Missing(Term.BOTTOM_DEPTHS)
    height, diameter, _ = baseline
    clearance = bottoming_depth_mm(groove=groove, rope_diameter_mm=diameter)
    if clearance is None:
        raise Missing(Term.BOTTOM_DEPTHS)
    return diameter - height + clearance, noise.NOISE_MM["rope_crown_height"] * 1.5
