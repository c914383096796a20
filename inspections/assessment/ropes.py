"""Ropes: diameter, broken wires, rouge, safety factor and D/d."""

from collections.abc import Iterator

from fleet.choices import GrooveForm
from fleet.models import Rope
from inspections.assessment import grading
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.engineering import criteria, discard, rope, suspension, verdict
from inspections.engineering.criteria import Family
from inspections.engineering.discard import Observation, Rouge, Window
from inspections.engineering.groove import UndercutGroove, VGroove
from inspections.engineering.limit import Stage
from inspections.engineering.machine import GRAVITY_M_S2
from inspections.engineering.suspension import LoadCase
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot, diameters, groove_of, suspension_of
from inspections.inputs.diameters import VisitDiameter
from inspections.inputs.register import rope_of
from inspections.models import Grade, Reading, ReadingState

DIAMETER_LOSS = "diameter_loss"
_ROUGE = {"none": Rouge.NONE, "trace": Rouge.TRACE, "heavy": Rouge.HEAVY}
_WINDOWS = {
    "lay": Window.LAY,
    "6d": Window.SIX_DIAMETERS,
    "30d": Window.THIRTY_DIAMETERS,
}
_EDITIONS = {"EN_81_1_1998": rope.Edition.EN_81_1_1998}
_BREAKS = ("breaks_total", "breaks_worst_strand", "breaks_adjacent", "breaks_valley")


def findings(snapshot: Snapshot) -> tuple[list[Draft], list[LimitDraft]]:
    """Return what the readings say of each rope, and the set's safety factor."""
    drafts: list[Draft] = []
    limits: list[LimitDraft] = []
    try:
        rope_set = snapshot.need_rope_set()
    except Missing as error:
        return [not_assessed(topic="ropes", reason=str(error))], []
    series = diameters.by_rope(snapshot)
    for row in snapshot.ropes:
        own = series.get(row.pk, [])
        drafts += _of_rope(snapshot, row, own[-1] if own else None)
        limits += _diameter_limit(snapshot, row, nominal=rope_set.nominal_diameter_mm)
    drafts += _safety(snapshot)
    return drafts, limits


def _of_rope(
    snapshot: Snapshot, row: Rope, diameter: VisitDiameter | None
) -> Iterator[Draft]:
    place = {"place": f"rope {row.number}", "rope_id": row.pk}
    breaks = {kind: _worst(snapshot, kind, row) for kind in _BREAKS}
    rouge = snapshot.latest("rouge", rope_id=row.pk)
    used = [r for r in (*breaks.values(), rouge) if r is not None]
    try:
        seen = _observation(snapshot, diameter, breaks, rouge)
        verdicts = discard.judge_rope(observation=seen, criteria_set=snapshot.criteria)
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic="rope discard", reason=str(error), **place)
        return
    unread = not any(breaks.values())
    if unread:
        yield not_assessed(
            topic="broken wires", reason="missing: no count of broken wires", **place
        )
    if diameter is None:
        yield not_assessed(
            topic="rope diameter", reason="missing: no diameter reading", **place
        )
    for found in verdicts:
        topic = _topic(found.criterion)
        if not _is_worth_telling(found, topic, unread=unread, diameter=diameter):
            continue
        grade = grading.of_verdict(
            found, safety=True, span=_span(found, seen.nominal_diameter_mm)
        )
        yield of_verdict(
            topic=topic,
            grade=grade,
            verdict=found,
            **place,
            stops_service=grade == Grade.ACT_NOW,
            unconfirmed=any(r.state == ReadingState.UNCONFIRMED for r in used)
            or bool(diameter and diameter.unconfirmed),
            detail={"observation": plain(seen)},
            readings=tuple(r.pk for r in used)
            + (diameter.readings if diameter else ()),
        )


def _is_worth_telling(
    found: verdict.Verdict,
    topic: str,
    *,
    unread: bool,
    diameter: VisitDiameter | None,
) -> bool:
    """Leave out what says no more than that something was not read at all.

    A watch limit is told when it is passed; short of that its own limit says more.
    """
    if found.stage is Stage.WATCH:
        return found.outcome is verdict.Outcome.MET
    if found.outcome is not verdict.Outcome.NOT_ASSESSED:
        return True
    if topic == "broken wires":
        return not unread and found.limit is not None
    if topic == "rope diameter":
        return diameter is not None and found.limit is not None
    return False


def _span(found: verdict.Verdict, nominal_mm: float) -> float | None:
    """Return how much a least diameter lets a rope lose; None for other limits."""
    if not found.criterion.startswith("diameter_least") or found.limit is None:
        return None
    return nominal_mm - found.limit


def _topic(criterion: str) -> str:
    if criterion.startswith("breaks"):
        return "broken wires"
    if criterion.startswith("diameter"):
        return "rope diameter"
    return criterion.split("/")[0].split("@")[0].replace("_", " ")


def _observation(
    snapshot: Snapshot,
    diameter: VisitDiameter | None,
    breaks: dict[str, Reading | None],
    rouge: Reading | None,
) -> Observation:
    """Return what was seen of a rope. Raises Missing, OutsideValidity."""
    rope_set = snapshot.need_rope_set()
    strands = rope_set.strand_class.partition("x")[0]
    total = breaks["breaks_total"]
    window = _WINDOWS[total.place["window"]] if total else Window.LAY
    counts = {
        kind: int(reading.value)
        for kind, reading in breaks.items()
        if reading is not None and reading.value is not None
    }
    return Observation(
        nominal_diameter_mm=rope_set.nominal_diameter_mm,
        strands=int(strands) if strands.isdigit() else None,
        window=window,
        breaks_total=counts.get("breaks_total"),
        breaks_worst_strand=counts.get("breaks_worst_strand"),
        breaks_adjacent=counts.get("breaks_adjacent"),
        breaks_valley=counts.get("breaks_valley"),
        rouge=_ROUGE[rouge.word] if rouge else None,
        diameters_mm=diameter.thinnest_place_mm if diameter else (),
    )


def _worst(snapshot: Snapshot, kind: str, row: Rope) -> Reading | None:
    """Return the highest count of the latest visit that counted on a rope."""
    found = [r for r in snapshot.of_kind(kind) if r.rope_id == row.pk]
    if not found:
        return None
    visit_id = found[-1].visit_id
    last = [r for r in found if r.visit_id == visit_id]
    return max(last, key=lambda reading: reading.value or 0.0)


def _diameter_limit(
    snapshot: Snapshot, row: Rope, *, nominal: float
) -> Iterator[LimitDraft]:
    """Yield the loss of diameter at which the set's criterion is met."""
    reduction = criteria.lookup(
        criteria_set=snapshot.criteria, key="diameter_reduction_nominal"
    )
    least = criteria.lookup(
        criteria_set=snapshot.criteria, key="diameter_least", nominal_mm=nominal
    )
    losses = []
    if reduction.value is not None:
        losses.append((nominal * reduction.value / 100.0, reduction))
    if least.value is not None:
        losses.append((nominal - least.value, least))
    if losses:
        loss, limit = min(losses, key=lambda pair: pair[0])
        yield LimitDraft(
            quantity=DIAMETER_LOSS,
            place=f"rope {row.number}",
            value=loss,
            sd=0.0,
            reason="ROPE_DIAMETER",
            criterion=f"{limit.words}; {limit.source.text}"[:300],
            rope_id=row.pk,
        )


def _safety(snapshot: Snapshot) -> Iterator[Draft]:
    """Yield the ropes' safety factor and D/d against the set's family."""
    try:
        hung = suspension_of(snapshot)
        one = rope_of(snapshot)
        ratio = rope.diameter_ratio(
            sheave_diameter_mm=hung.sheave_diameter_mm,
            rope_diameter_mm=hung.rope_diameter_mm,
        )
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic="rope safety factor", reason=str(error))
        return
    limit = criteria.lookup(criteria_set=snapshot.criteria, key="diameter_ratio_least")
    found = verdict.judge(limit=limit, value=round(ratio, 3))
    yield of_verdict(
        topic="sheave over rope diameter",
        grade=_as_built(found),
        verdict=found,
        detail={"sheave_diameter_mm": hung.sheave_diameter_mm},
    )
    load_n = _suspended_load_n(hung, snapshot)
    if load_n is None:
        yield not_assessed(
            topic="rope safety factor", reason="the set names no loading case"
        )
        return
    actual = rope.actual_factor(
        breaking_force_n=one.breaking_force_n,
        ropes=hung.rope_count,
        roping_ratio=hung.roping,
        suspended_load_n=load_n,
    )
    try:
        required = _required(snapshot, hung, ratio)
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic="rope safety factor", reason=str(error))
        return
    margin = actual - required.required
    yield Draft(
        topic="rope safety factor",
        grade=Grade.IN_ORDER if margin >= 0 else Grade.PLAN_WORK,
        value=actual,
        limit=required.required,
        margin=margin,
        criterion="breaking force of the set over its static load",
        source=required.source.text,
        how_sure=str(required.source.certainty),
        reason="" if margin >= 0 else "below what the set's family requires",
        detail={
            "breaking_force_n": one.breaking_force_n,
            "from_certificate": list(one.from_certificate),
            "suspended_load_n": load_n,
            "diameter_ratio": ratio,
            "required_calculated": required.calculated,
            "required_floor": required.floor,
        },
    )


def _as_built(found: verdict.Verdict) -> str:
    """Grade what is built in: at the limit is how it was made, no wear."""
    if found.outcome is verdict.Outcome.NOT_ASSESSED:
        return Grade.NOT_ASSESSED
    return (
        Grade.IN_ORDER
        if found.outcome is verdict.Outcome.NOT_MET
        else Grade.KEEP_AN_EYE_ON
    )


def _suspended_load_n(hung: suspension.Suspension, snapshot: Snapshot) -> float | None:
    """Return what hangs from the ropes at rated load, car lowest, in newtons."""
    rules = snapshot.criteria.traction
    for case in suspension.load_cases(suspension=hung, rules=rules):
        if case.case is LoadCase.LOADING:
            overload = (rules.load_factor - 1.0) * hung.rated_load_kg * GRAVITY_M_S2
            return case.t1_n * hung.roping - overload
    return None


def _required(
    snapshot: Snapshot, hung: suspension.Suspension, ratio: float
) -> rope.RequiredFactor:
    """Return the required factor of the set's family. Raises Missing."""
    if snapshot.criteria.family is Family.A17:
        return rope.required_a17(rope_speed_m_s=hung.rope_speed_m_s)
    geometry = snapshot.need_geometry()
    groove = groove_of(geometry)
    if geometry.form == GrooveForm.V and isinstance(groove, VGroove):
        at_sheave = rope.sheave_equivalent_v(
            groove_angle_rad=groove.groove_angle_rad,
            edition=_EDITIONS.get(snapshot.criteria.code, rope.Edition.EN_81_50_2014),
        )
    elif isinstance(groove, UndercutGroove):
        at_sheave = rope.sheave_equivalent_undercut(
            undercut_angle_rad=groove.undercut_angle_rad
        )
    else:
        at_sheave = 1.0
    pulleys = snapshot.pulleys
    bends = rope.equivalent_pulleys(
        sheave_equivalent=at_sheave * len(hung.wrap.angles_rad),
        sheave_diameter_mm=hung.sheave_diameter_mm,
        pulley_diameters_mm=tuple(p.diameter_mm for p in pulleys),
        reverse_bends=sum(p.bend == "REVERSE" for p in pulleys),
    )
    return rope.required_en(
        equivalent_pulleys=bends.total,
        diameter_ratio=ratio,
        ropes=hung.rope_count,
        rope_diameter_mm=hung.rope_diameter_mm,
    )
