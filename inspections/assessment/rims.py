"""Rim metal: what is under every groove of the casting, the thinnest named."""

from math import pi, radians
from statistics import fmean
from typing import Any

from fleet.choices import DraftDirection, GrooveForm
from fleet.models import Sheave
from inspections import inputs
from inspections.assessment import running
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.engineering import cut, rim
from inspections.engineering.groove import Groove, bottoming_depth_mm
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot, noise
from inspections.models import Grade, Reading

RIM_METAL = "rim metal"
NEXT_CUT = "room for a cut"
# Deepest groove plus 1/16 in, by a trade note on regrooving.
CLEAN_UP_MM = 1.6
# No cut fits: worth knowing before the grooves are worn, no danger today; our rule.
_NO_CUT = Grade.KEEP_AN_EYE_ON
_FORMS = {
    GrooveForm.ROUND: cut.GrooveForm.ROUND,
    GrooveForm.V: cut.GrooveForm.V,
    GrooveForm.UNDERCUT: cut.GrooveForm.UNDERCUT,
}
_ANGLES = {"A": 0.0, "B": pi / 2, "C": pi, "D": 3 * pi / 2}
_THICKER = {
    DraftDirection.THICKER_AT_GROOVE_ONE: rim.Thicker.TOWARDS_DATUM,
    DraftDirection.THICKER_AT_LAST_GROOVE: rim.Thicker.AWAY_FROM_DATUM,
}
# A groove's chance of having less metal than the maker's minimum that is told; our
# rule, no source.
TOLD_FROM = 0.01


def findings(snapshot: Snapshot) -> list[Draft]:
    """Return the finding on rim metal, or why there is none."""
    try:
        sheave = snapshot.need_sheave()
        metal, used = _metal(snapshot, sheave)
    except (Missing, OutsideValidity) as error:
        return [not_assessed(topic=RIM_METAL, reason=str(error))]
    thinnest = next((g for g in metal.grooves if g.number == metal.thinnest), None)
    if thinnest is None:
        reason = f"missing: {', '.join(metal.missing)}"
        return [not_assessed(topic=RIM_METAL, reason=reason, readings=used)]
    value = thinnest.nominal_mm if thinnest.worst_mm is None else thinnest.worst_mm
    detail = {"metal": plain(metal), "thinnest_groove": metal.thinnest}
    if metal.minimum_mm is None:
        return [
            Draft(
                topic=RIM_METAL,
                grade=Grade.NOT_ASSESSED,
                place=f"groove {thinnest.number}",
                value=value,
                unit="mm",
                reason="no minimum from the maker is registered, so the metal is "
                "told but not judged",
                detail=detail,
                readings=used,
            )
        ]
    return [_judged(metal, thinnest, value, detail, used), *_next_cut(snapshot, metal)]


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
        criterion="worst case of metal under the thinnest groove",
        source="the maker's least metal, as registered",
        how_sure="entered",
        reason="; ".join(metal.cautions),
        detail=detail,
        readings=used,
    )


def _next_cut(snapshot: Snapshot, metal: rim.RimMetal) -> list[Draft]:
    """Return whether a cut would fit: deepest seat plus clean-up, thinnest groove."""
    geometry, sheave = snapshot.need_geometry(), snapshot.need_sheave()
    rope_set, turned = snapshot.rope_set, geometry.pitch_diameter_mm
    new = sheave.pitch_diameter_new_mm
    groove = inputs.groove_of(geometry)
    series = inputs.seat_series(snapshot, groove=groove)
    numbers = {row.pk: row.number for row in snapshot.grooves}
    seats = tuple(
        cut.SeatAt(
            groove=numbers[pk], depth_mm=own[-1].seat.sunk_mm, sd_mm=own[-1].seat.sd_mm
        )
        for pk, own in series.items()
    )
    if not seats or rope_set is None or turned is None or new is None:
        reason = "missing: seat depths, rope set or pitch diameters"
        return [not_assessed(topic=NEXT_CUT, reason=reason)]
    plan = cut.plan(
        sheave=cut.Sheave(
            form=_FORMS[GrooveForm(geometry.form)],
            pitch_diameter_new_mm=new,
            pitch_diameter_turned_mm=turned,
            hardened_depth_mm=geometry.hardened_depth_mm,
        ),
        seats=seats,
        rim=metal,
        clean_up_mm=CLEAN_UP_MM,
        rope_diameter_mm=rope_set.nominal_diameter_mm,
        proof=cut.Proof(
            minimum_diameter_mm=sheave.minimum_pitch_diameter_mm,
            crack_free=_crack_free(snapshot),
            hardness=running.hardness_verdicts(snapshot),
        ),
        criteria_set=snapshot.criteria,
    )
    after = next((g for g in plan.grooves if g.number == plan.thinnest), None)
    value = after.metal_worst_mm if after else None
    known = {cut.Answer.FITS: Grade.IN_ORDER, cut.Answer.DOES_NOT_FIT: _NO_CUT}
    return [
        Draft(
            topic=NEXT_CUT,
            grade=known.get(plan.answer, Grade.NOT_ASSESSED),
            place=f"groove {plan.thinnest}" if plan.thinnest else "",
            value=value,
            limit=metal.minimum_mm,
            margin=None if value is None else value - (metal.minimum_mm or 0.0),
            unit="mm",
            criterion="metal under the thinnest groove after a cut, worst case",
            source="geometry; clean-up of 1/16 in by a trade note",
            how_sure="derived",
            reason="; ".join((str(plan.answer), *plan.reasons, *plan.missing)),
            detail={"cut": plain(plan)},
            readings=tuple({pk for own in series.values() for pk in own[-1].readings}),
        )
    ]


def _crack_free(snapshot: Snapshot) -> bool | None:
    """Return what the last crack check said; "not seen" is not known."""
    last = None
    for reading in snapshot.of_kind("check"):
        if reading.place.get("part") == "crack":
            last = reading
    if last is None or last.word == "not seen":
        return None
    return last.word == "pass"


def _grade(margin: float, chance: float | None) -> str:
    """Grade by nominal chance and worst case; a rim that may be too thin is planned."""
    if chance is not None and chance > 0.5:
        return Grade.ACT_NOW
    if margin < 0.0:
        return Grade.PLAN_WORK
    if chance is not None and chance > TOLD_FROM:
        return Grade.KEEP_AN_EYE_ON
    return Grade.IN_ORDER


def _metal(snapshot: Snapshot, sheave: Sheave) -> tuple[rim.RimMetal, tuple[int, ...]]:
    """Return the metal under the grooves, and the readings it rests on."""
    thickness = list(_last_survey(snapshot, sheave))
    if not thickness:
        raise Missing("a rim survey: thickness at one or more places")
    runouts = [
        r for r in snapshot.of_kind("underside_runout") if r.sheave_id == sheave.pk
    ]
    runout = None
    if runouts and runouts[-1].value is not None:
        last = runouts[-1]
        runout = rim.CastRunout(indicator_mm=last.value or 0.0, sd_mm=noise.of(last))
    metal = rim.metal(
        grooves=_bottoms(snapshot),
        readings=tuple(
            rim.ThicknessReading(
                axial_mm=float(r.place["axial_mm"]),
                thickness_mm=r.value or 0.0,
                sd_mm=noise.of(r),
                angle_rad=_ANGLES[r.place["mark"]],
                surface=rim.Surface.LAND,
            )
            for r in thickness
        ),
        draft=_draft(sheave, thickness),
        runout=runout,
        minimum_mm=sheave.minimum_rim_mm,
    )
    used = tuple(r.pk for r in thickness) + tuple(r.pk for r in runouts[-1:])
    return metal, used


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
        raise Missing("the draft of the underside, or thickness at two places")
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
            raise Missing(f"the place of groove {row.number} along the rim")
        depths = [
            r for r in snapshot.of_kind("groove_bottom_depth") if r.groove_id == row.pk
        ]
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
        raise Missing("the grooves of the sheave")
    return tuple(found)


def _depth(
    snapshot: Snapshot, groove_id: int, depths: list[Reading]
) -> tuple[float, float]:
    if depths:
        last = [r for r in depths if r.visit_id == depths[-1].visit_id]
        return fmean([r.value or 0.0 for r in last]), noise.of(last[0])
    baseline = inputs.seats.baselines(snapshot).get(groove_id)
    groove: Groove = inputs.groove_of(snapshot.need_geometry())
    if baseline is None:
        raise Missing("the depth of the groove bottoms below the rim")
    height, diameter, _ = baseline
    clearance = bottoming_depth_mm(groove=groove, rope_diameter_mm=diameter)
    if clearance is None:
        raise Missing("the depth of the groove bottoms below the rim")
    return diameter - height + clearance, noise.NOISE_MM["rope_crown_height"] * 1.5
