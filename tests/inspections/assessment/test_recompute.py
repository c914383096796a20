"""A stranger recomputes every figure from what is stored, and nothing else.

Only JSON goes in: the finding's detail, and the assessment's shared numbers that it
names. The kernel is called anew and must come to the stored value and margin.
"""

import json
from datetime import date
from math import hypot
from typing import Any

import pytest

from inspections.assessment.assessing import judge
from inspections.engineering import (
    criteria,
    cut,
    discard,
    pressure,
    rim,
    rope,
    slip_offsets,
    suspension,
    tension,
    verdict,
)
from inspections.engineering.answer import Axis
from inspections.engineering.discard import (
    BreakCount,
    Lubrication,
    Observation,
    Rouge,
    Window,
)
from inspections.engineering.groove import RoundGroove, UndercutGroove, VGroove
from inspections.engineering.limit import Stage
from inspections.engineering.source import Source
from inspections.engineering.suspension import (
    LoadCase,
    Suspension,
    TractionRules,
    WrapAngles,
)
from inspections.models import Gauge, Grade
from inspections.reasons import from_json
from tests.inspections.assessment.snapshots import (
    ROUND,
    V,
    diameters,
    on_every_rope,
    snapshot,
    take,
    worn,
)

CODE = "EN_81_20"
SET = criteria.find(code=CODE)
FINE = Gauge(pk=1, code="fine", repeatability_mm=0.01, resolution_mm=0.01)
GROOVES = {kind.__name__: kind for kind in (RoundGroove, VGroove, UndercutGroove)}


def rich():
    """Return a machine of which almost everything was read."""
    tensions = [
        take("rope_tension", 4000.0 + 90 * n, rope=n, side="car", car_position=where)
        for where in ("bottom", "top")
        for n in range(1, 6)
    ]
    marks = [
        take(
            "rope_mark_offset",
            6.0 + n,
            rope=1,
            travel="round trip",
            load="empty",
            frame_mark="kept",
        )
        for n in range(3)
    ]
    survey = [
        take("rim_thickness", 40.0 + n / 9, axial_mm=mm, mark=mark, over="land")
        for n, (mm, mark) in enumerate((m, k) for m in ("5", "110") for k in "ABCD")
    ]
    return snapshot(
        *worn(2.4),
        *[take("groove_bottom_depth", 18.0, groove=n) for n in range(1, 6)],
        *[take("seat_gauge_fit", 6.6, groove=n, fit="go") for n in range(1, 6)],
        *on_every_rope("breaks_total", 3, window="lay"),
        *on_every_rope("breaks_worst_strand", 1, window="lay"),
        *tensions,
        *marks,
        *survey,
        take("underside_runout", 1.2),
        take("seat_runout", 0.2, groove=2),
        take("rope_crown_step", 0.4, groove=2),
        take("seat_diameter_difference", 0.08, groove=3, visit_kind="AS_LEFT"),
        take("levelling_error", -12.0, floor="2"),
        take("cwt_runby", 210.0),
        take("car_runby", 190.0),
        take("travel_speed", 1.58),
        *[take("hardness", value) for value in (205.0, 212.0, 209.0)],
        sheave={"minimum_rim_mm": 15.0, "minimum_pitch_diameter_mm": 560.0},
    )


def hardened_v():
    bands = [
        take("seat_band_width", 3.0, groove=n, flank=flank)
        for n in range(1, 6)
        for flank in ("left", "right")
    ]
    slack = [
        take("rope_tension", value, rope=n, side="car", car_position="bottom")
        for n, value in enumerate((900.0, 4000.0, 4100.0, 4000.0, 4050.0), 1)
    ]
    return snapshot(*diameters(), *bands, *slack, geometry=V)


def disagreeing():
    """Return a groove of which crown and clearance say different depths."""
    cut_on = date(2024, 1, 15)
    return snapshot(
        *diameters(on=cut_on, gauge=FINE),
        take("rope_crown_height", 3.0, groove=1, mark="A", on=cut_on, gauge=FINE),
        *diameters(gauge=FINE),
        take("rope_crown_height", 0.5, groove=1, mark="A", gauge=FINE),
        take("bottom_clearance", 3.0, groove=1, gauge=FINE),
        cut_on=cut_on,
    )


def double_wrap():
    heights = [
        take("rope_crown_height", 3.0 - down * n / 9, groove=n, mark="A", on=day)
        for day, down in ((date(2020, 2, 1), 0.0), (date(2026, 5, 4), 1.0))
        for n in range(1, 11)
    ]
    return snapshot(
        *diameters(13.2, on=date(2020, 2, 1), gauge=FINE),
        *diameters(13.2, gauge=FINE),
        *heights,
        geometry=ROUND,
        double=True,
        machine={"wrap": "DOUBLE", "wrap_angle_deg": 320.0},
        pulleys=(
            {
                "kind": "SECONDARY",
                "diameter_mm": 600.0,
                "offset_x_mm": 700.0,
                "drop_h_mm": 500.0,
            },
        ),
    )


MACHINES = (rich, hardened_v, double_wrap, disagreeing)


def stored(of):
    """Return findings as (draft, detail with what it shares), through JSON."""
    drafts, _, shared = judge(of)
    once = json.loads(json.dumps(shared, allow_nan=False))
    return [
        (draft, json.loads(json.dumps(draft.detail, allow_nan=False)), once)
        for draft in drafts
    ]


def suspension_from(shared: dict[str, Any]) -> Suspension:
    given = dict(shared["suspension"])
    angles = tuple(given.pop("wrap")["angles_rad"])
    return Suspension(**given, wrap=WrapAngles(angles_rad=angles))


def rules_from(shared: dict[str, Any]) -> TractionRules:
    given = dict(shared["rules"])
    cases = tuple(LoadCase(each) for each in given.pop("cases"))
    factors = tuple(tuple(pair) for pair in given.pop("dynamic_factors"))
    return TractionRules(**given, cases=cases, dynamic_factors=factors)


def groove_from(shared: dict[str, Any]):
    return GROOVES[shared["groove_kind"]](**shared["groove_as_cut"])


def traction(draft, detail, shared):
    found = suspension.assess_groove(
        suspension=suspension_from(shared),
        groove=groove_from(shared),
        seat_depths_mm=tuple(detail["seat_depths_mm"]),
        seat_depth_sd_mm=detail["seat_depth_sd_mm"],
        rules=rules_from(shared),
    )
    case = next(c for c in found.cases if c.case.value == detail["worst"])
    return case.margin, case.margin


def by_key(draft, detail, shared):
    value = detail["clearance_mm"] if "clearance_mm" in detail else detail["value"]
    found = discard.judge_value(criteria_set=SET, key=detail["key"], value=value)
    return found.value, found.margin


def seat_depths(draft, detail, shared):
    depths = detail["seat_depths_mm"]
    value = 100 * (max(depths) - min(depths)) / detail["nominal_diameter_mm"]
    found = discard.judge_value(criteria_set=SET, key=detail["key"], value=value)
    return found.value, found.margin


def groove_pressure(draft, detail, shared):
    given = {
        name: detail[name]
        for name in (
            "seat_depth_mm",
            "rope_force_n",
            "rope_diameter_mm",
            "sheave_diameter_mm",
            "rope_speed_m_s",
        )
    }
    found = pressure.groove_pressure(groove=groove_from(shared), **given)
    assert found.as_worn_mpa == pytest.approx(detail["as_worn_mpa"])
    return found.as_new_mpa, found.limit_mpa - found.as_new_mpa


def creep(draft, detail, shared):
    marks = detail["marks"] | {"offsets_mm": tuple(detail["marks"]["offsets_mm"])}
    found = slip_offsets.judge_offsets(creep_mm=Axis(**detail["creep_mm"]), **marks)
    return found.largest_mm, found.allowed_typical_mm - found.largest_mm


def seat_fit(draft, detail, shared):
    from inspections.engineering.groove import fit

    found = fit.seat_fit(
        rope_diameter_mm=detail["rope_diameter_mm"],
        seat_radius_mm=detail["seat_radius_mm"],
    )
    return found.radius_ratio, fit.PINCHED_ABOVE_RATIO - found.radius_ratio


def hardened(draft, detail, shared):
    layer = groove_from(shared).hardened_depth_mm
    return detail["seat_depth_mm"], layer - detail["seat_depth_mm"]


def pair(draft, detail, shared):
    given = {name: value for name, value in detail.items() if name != "pair"}
    found = tension.judge_pair(**given)
    limit = max(found.limit_mm, found.noise_mm)
    return found.difference_mm, limit - found.difference_mm


def as_built(draft, detail, shared):
    found = discard.judge_as_built(**detail, criteria_set=SET)[-1]
    return found.value, found.margin


def safety(draft, detail, shared):
    actual = rope.actual_factor(**detail["load"])
    asked = detail["asked"] | {"actual": actual}
    assert detail["criteria_set"] == CODE
    found = discard.judge_safety_factor(**asked, criteria_set=SET)
    return found.value, found.margin


def observation(stored):
    given = dict(stored)
    given["window"] = Window(given.get("window", Window.LAY))
    given["diameters_mm"] = tuple(given.get("diameters_mm", ()))
    given["further"] = tuple(
        BreakCount(**each | {"window": Window(each["window"])})
        for each in given.get("further", ())
    )
    if "rouge" in given:
        given["rouge"] = Rouge(given["rouge"])
    if "lubrication" in given:
        given["lubrication"] = Lubrication(given["lubrication"])
    return Observation(**given)


def of_rope(draft, detail, shared):
    verdicts = discard.judge_stations(
        observations=tuple(observation(each) for each in detail["observations"]),
        criteria_set=SET,
    )
    found = next(v for v in verdicts if str(v.reason) == str(draft.reason))
    return found.value, found.margin


def tensions(draft, detail, shared):
    given = {
        "tensions_n": tuple(detail["tensions_n"]),
        "ropes": detail["ropes"],
        "criteria_set": SET,
    }
    verdicts = (
        *discard.judge_tension_spread(**given),
        *discard.judge_tension_action(**given),
    )
    found = next(v for v in verdicts if v.limit == draft.limit)
    return found.value, found.margin


def swing(draft, detail, shared):
    found = tension.tension_swing(
        bottom_n=tuple(detail["bottom_n"]),
        top_n=tuple(detail["top_n"]),
        gauge_sd_ratio=detail["gauge_sd_ratio"],
    )
    greatest = abs(found.greatest[1])
    return greatest, max(found.limit_ratio, found.noise_ratio) - greatest


def rim_from(detail: dict[str, Any]) -> rim.RimMetal:
    given = detail["given"]
    drafts = {
        kind.__name__: kind
        for kind in (rim.KnownDraft, rim.MeasuredDraft, rim.DraftRange)
    }
    return rim.metal(
        grooves=tuple(rim.GrooveBottom(**each) for each in given["grooves"]),
        readings=tuple(
            rim.ThicknessReading(**each | {"surface": rim.Surface(each["surface"])})
            for each in given["readings"]
        ),
        draft=drafts[given["draft_kind"]](**given["draft"]),
        runout=rim.CastRunout(**given["runout"]) if given["runout"] else None,
        minimum_mm=given["minimum_mm"],
    )


def rim_metal(draft, detail, shared):
    found = rim_from(detail)
    worst = next(g for g in found.grooves if g.number == found.thinnest).worst_mm
    return worst, worst - found.minimum_mm


def speed(draft, detail, shared):
    verdicts = discard.judge_speed(**detail, criteria_set=SET)
    found = next(v for v in verdicts if v.limit == draft.limit)
    return found.value, found.margin


def hardness(draft, detail, shared):
    verdicts = discard.judge_hardness(
        hardness_hb=tuple(detail["hardness_hb"]), criteria_set=SET
    )
    found = next(v for v in verdicts if v.limit == draft.limit)
    return found.value, found.margin


def runout(draft, detail, shared):
    value = 100.0 * detail["runout_mm"] / detail["sheave_diameter_mm"]
    found = discard.judge_value(criteria_set=SET, key=detail["key"], value=value)
    return found.value, found.margin


def levelling(draft, detail, shared):
    value = max(abs(each) for each in detail["levelling_errors_mm"])
    return value, 10.0 - value


def ways(draft, detail, shared):
    apart = abs(detail["depths_mm"][0] - detail["depths_mm"][1])
    return apart, 3.0 * hypot(*detail["sd_mm"]) - apart


def crown_step(draft, detail, shared):
    value = 100.0 * detail["step_mm"] / detail["nominal_diameter_mm"]
    found = discard.judge_value(criteria_set=SET, key=detail["key"], value=value)
    return found.value, found.margin


ANEW = {
    "step between crowns": crown_step,
    "run-out of the seats": runout,
    "grooves as left": by_key,
    "levelling": levelling,
    "ways of measuring the seat": ways,
    "traction": traction,
    "bottom clearance": by_key,
    "counterweight run-by": by_key,
    "car run-by": by_key,
    "seat depths in the set": seat_depths,
    "groove pressure": groove_pressure,
    "creep over the sheave": creep,
    "seat fit": seat_fit,
    "hardened layer": hardened,
    "pair of grooves": pair,
    "sheave over rope diameter": as_built,
    "rope safety factor": safety,
    "broken wires": of_rope,
    "rope diameter": of_rope,
    "rope tension": tensions,
    "tension swing": swing,
    "rim metal": rim_metal,
    "car speed": speed,
    "rim hardness": hardness,
}
# Their numbers are recomputed by tests of their own below.
APART = {"room for a cut"}


@pytest.mark.parametrize("machine", MACHINES)
def test_every_figure_follows_from_what_is_stored(machine):
    seen = set()

    for draft, detail, shared in stored(machine()):
        if draft.margin is None or draft.topic in APART:
            continue
        value, margin = ANEW[draft.topic](draft, detail, shared)
        assert value == pytest.approx(draft.value, rel=1e-9, abs=1e-12), draft.topic
        assert margin == pytest.approx(draft.margin, rel=1e-9, abs=1e-9), draft.topic
        seen.add(draft.topic)

    assert "traction" in seen


def test_every_topic_that_has_figures_was_recomputed_somewhere():
    told = {
        draft.topic
        for machine in MACHINES
        for draft, _, _ in stored(machine())
        if draft.margin is not None
    }

    assert told - APART == set(ANEW)


def test_room_for_a_cut_follows_from_the_rim_and_its_own_numbers():
    found = {draft.topic: (draft, detail) for draft, detail, _ in stored(rich())}
    draft, detail = found["room for a cut"]
    given = detail["given"]
    hardness = tuple(verdict_from(each) for each in given["proof"]["hardness"])

    plan = cut.plan(
        sheave=cut.SheaveToCut(
            **given["sheave"] | {"form": cut.KnownForm(given["sheave"]["form"])}
        ),
        seats=tuple(cut.SeatAt(**each) for each in given["seats"]),
        rim=rim_from(found["rim metal"][1]),
        clean_up_mm=given["clean_up_mm"],
        seat_runout_mm=given["seat_runout_mm"],
        rope_diameter_mm=given["rope_diameter_mm"],
        proof=cut.Proof(**given["proof"] | {"hardness": hardness}),
        criteria_set=SET,
    )

    after = next(g for g in plan.grooves if g.number == plan.thinnest)
    assert after.metal_worst_mm == pytest.approx(draft.value)
    assert str(plan.answer) == detail["cut"]["answer"]


def verdict_from(given: dict[str, Any]) -> verdict.Verdict:
    source = given["source"]
    return verdict.Verdict(
        **given
        | {
            "outcome": verdict.Outcome(given["outcome"]),
            "stage": Stage(given["stage"]),
            "source": Source(**source) if source else None,
            "reason": from_json(given["reason"]),
        }
    )


def test_depth_limits_follow_from_the_shared_numbers():
    _, limits, shared = judge(rich())
    once = json.loads(json.dumps(shared))

    found = suspension.depth_limits(
        suspension=suspension_from(once),
        groove=groove_from(once),
        seat_depths_mm=(0.0,),
        rules=rules_from(once),
        spread=suspension.RegisterSpread(**once["register_spread"]),
    )

    binding = suspension.binding_limit(limits=found)
    stored_depth = {row.value for row in limits if row.quantity == "seat_depth"}
    assert stored_depth == {binding.depth_mm}


def test_details_are_lean():
    """What the machine's findings share is stored once, not with each of them."""
    drafts, _, _ = judge(rich())

    worst = max(len(json.dumps(draft.detail)) for draft in drafts)
    assert worst < 6000
    assert all(draft.grade in set(Grade) for draft in drafts)
