"""What is worked out, as it is stored and sent: codes, values and English words."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from django.utils import translation

from inspections.engineering.groove_window import JudgedCut
from inspections.engineering.traction_course import TractionCourse
from inspections.json_records import plain
from inspections.reasons import Reason, english
from inspections.reasons.serial import item_as_json
from inspections.scenarios.costs import ScenarioCost
from inspections.scenarios.figures import NAMES
from inspections.scenarios.notes import WORDS, Note
from inspections.scenarios.side_by_side import ComparedRow, ComparedSaying
from inspections.scenarios.window import Looked
from inspections.scenarios.working_out import WorkedScenario


def of_answer(found: WorkedScenario) -> dict[str, Any]:
    """Return a scenario's answer as JSON-able values."""
    return {
        "changes": found.changes.as_json(),
        "notes": [_note(note) for note in found.notes],
        "findings": [_row(row) for row in found.rows],
        "figures": [
            {
                "name": name,
                "now": plain(getattr(found.now, name)),
                "then": plain(getattr(found.then, name)),
            }
            for name in NAMES
        ],
        "traction_now": _course(found.course_now),
        "traction_then": _course(found.course_then),
        "life_ratio": found.life_ratio,
        "speed_ratio": found.speed_ratio,
        "cut": _cut(found),
        "measure_first": list(found.decides),
        "wear_scale": plain(found.wear_scale),
        "dates": plain(found.dates),
        "friction": plain(found.friction),
        "makers_limits": plain(found.limits),
        "after_work": plain(found.after),
        "cost": _cost(found.cost),
    }


def _cost(cost: ScenarioCost) -> dict[str, Any]:
    return {
        **plain(replace(cost, missing=())),
        "missing": [english(each) for each in cost.missing],
        "missing_said": [item_as_json(each) for each in cost.missing],
    }


def _note(note: Note) -> dict[str, str]:
    with translation.override("en"):
        return {"code": str(note), "words": str(WORDS[note])}


def _row(row: ComparedRow) -> dict[str, Any]:
    return {
        "topic": row.topic,
        "place": row.place,
        "criterion": row.criterion,
        "turn": str(row.turn),
        "now": _said(row.now),
        "then": _said(row.then),
    }


def _said(said: ComparedSaying | None) -> dict[str, Any] | None:
    if said is None:
        return None
    found: dict[str, Any] = plain(said)
    reason = said.reason
    return found | {
        "reason": str(reason) if reason else "",
        "reason_said": _item(reason),
    }


def _item(reason: Reason | None) -> dict[str, Any] | None:
    return None if reason is None else item_as_json(reason)


def _course(course: TractionCourse | None) -> dict[str, Any] | None:
    if course is None:
        return None
    return {
        "depths_mm": list(course.depths_mm),
        "end_by_bottom": course.end_by_bottom,
        "cases": [
            {
                "case": str(case.need.case),
                "t1_n": case.need.tensions.t1_n,
                "t2_n": case.need.tensions.t2_n,
                "factor_ratio": case.need.factor_ratio,
                "margins": list(case.margins),
                "least_margin": case.least_margin,
                "accepted_otherwise": case.need.accepted_otherwise,
            }
            for case in course.cases
        ],
    }


def _cut(found: WorkedScenario) -> dict[str, Any] | None:
    planned = found.cut
    if planned is None:
        return None
    thinnest = next((g for g in planned.grooves if g.number == planned.thinnest), None)
    return {
        "answer": str(planned.answer),
        "cut_depth_mm": planned.cut_depth_mm,
        "deepest_seat_mm": planned.deepest_seat_mm,
        "deepest_groove": planned.deepest_groove,
        "pitch_diameter_mm": planned.pitch_diameter_mm,
        "thinnest_groove": planned.thinnest,
        "metal_left_mm": thinnest.metal_worst_mm if thinnest else None,
        "reasons": [str(each) for each in planned.reasons],
        "reasons_said": [item_as_json(each) for each in planned.reasons],
        "missing": [english(each) for each in planned.missing],
        "missing_said": [item_as_json(each) for each in planned.missing],
    }


def of_window(looked: Looked) -> dict[str, Any]:
    """Return a groove window as JSON-able values: each form with its angles once."""
    window = looked.window
    return {
        "margin": looked.given.margin,
        "deepest_mm": looked.given.deepest_mm,
        "seat_radius_mm": looked.given.seat_radius_mm,
        "bottom_clearance_mm": looked.given.bottom_clearance_mm,
        "to_depth_mm": looked.given.to_depth_mm,
        "looked_at": len(window.judged),
        "inside": len(window.inside),
        "left_out": [str(name) for name in looked.left_out],
        "shapes": list(_shapes(window.judged)),
        "middle": _judged(window.middle) if window.middle else None,
        "middle_changes": dict(looked.middle_changes),
        "middle_ends": plain(looked.middle_ends),
        "conflicts": [
            {
                "demands": [str(name) for name in each.demands],
                "nearest": _judged(each.nearest),
            }
            for each in window.conflicts
        ],
        "openings": [
            {"by": str(name), "middle": plain(cut) | {"form": cut.form.name}}
            for name, cut in looked.openings
        ],
    }


def _shapes(judged: tuple[JudgedCut, ...]) -> list[dict[str, Any]]:
    found: dict[tuple[str, float, float], dict[str, Any]] = {}
    for each in judged:
        cut = each.cut
        key = (cut.form.name, cut.groove_angle_deg, cut.undercut_angle_deg)
        shape = found.setdefault(
            key,
            {
                "form": cut.form.name,
                "groove_angle_deg": cut.groove_angle_deg,
                "undercut_angle_deg": cut.undercut_angle_deg,
                "depths_mm": [],
                "fails": {},
            },
        )
        if each.holds:
            shape["depths_mm"].append(cut.cut_depth_mm)
        for name in each.fails:
            shape["fails"][str(name)] = None
    return [{**shape, "fails": list(shape["fails"])} for shape in found.values()]


def _judged(each: JudgedCut) -> dict[str, Any]:
    slack: Mapping[str, float] = {str(name): at for name, at in each.slack.items()}
    return {
        "form": each.cut.form.name,
        "groove_angle_deg": each.cut.groove_angle_deg,
        "undercut_angle_deg": each.cut.undercut_angle_deg,
        "cut_depth_mm": each.cut.cut_depth_mm,
        "pitch_diameter_mm": each.pitch_diameter_mm,
        "least": each.least,
        "slack": [{"demand": name, "slack": plain(at)} for name, at in slack.items()],
    }
