"""Rows as the facts of a decision; what is missing stays missing."""

from collections.abc import Iterator

from fleet.register.choices import RimConstruction, Wrap
from inspections import condition, inputs
from inspections.assessment import basis
from inspections.decisions.records import (
    AheadLimit,
    CaseMargin,
    MachineFacts,
    OpenFinding,
    WrapPulley,
)
from inspections.engineering import traction, unknowns
from inspections.engineering.traction import LoadCase, TractionRules
from inspections.engineering.traction_answer import BRAKING
from inspections.engineering.verdict import Item
from inspections.inputs import Snapshot
from inspections.models import Finding, Forecast, ForecastState, Grade
from inspections.options.loading import Judged
from inspections.reasons import Code, Reason, Term, Topic, from_json

_EVEN = (Grade.IN_ORDER, Grade.KEEP_AN_EYE_ON)


def facts_of(*, snapshot: Snapshot, judged: Judged) -> MachineFacts:
    """Return everything that is known of a machine for a decision about it."""
    found = judged.basis or basis.of_snapshot(snapshot)
    rope_set, sheave = snapshot.rope_set, snapshot.sheave
    length = inputs.rope_length_of(snapshot)
    return MachineFacts(
        machine_key=snapshot.machine.pk,
        criteria_set=snapshot.criteria,
        rope_diameter_mm=rope_set.nominal_diameter_mm if rope_set else None,
        rope_count=rope_set.ropes_count if rope_set else None,
        rope_length_m=length.metres if length else None,
        rope_length_spread=length.spread if length else 0.0,
        sheave=found.work.sheave,
        seats=found.work.seats,
        rim=found.work.rim,
        proof=found.work.proof,
        suspension=found.suspension,
        other_masses=found.others,
        groove=found.groove,
        traction_rules=found.rules,
        braking_hardest=braking_hardest(snapshot),
        deflector=deflector_of(snapshot),
        margins=_margins(judged),
        new_rope_is_pinched=found.work.new_rope_is_pinched,
        feed_is_equal=_feeds_equally(judged),
        ropes_oiled=_oiled(judged),
        rim_is_renewable=_rim_is_renewable(sheave.rim_construction if sheave else ""),
        next_visit_on=condition.next_visit(judged.forecasts),
        visit_before_on=condition.visit_before(judged.forecasts),
        findings=tuple(_findings(judged)),
        ahead=tuple(ahead_of(row) for row in judged.forecasts),
        unmeasured=unmeasured(judged),
        uncomputable=found.work.uncomputable,
    )


def braking_hardest(snapshot: Snapshot) -> TractionRules | None:
    """Return the rules with the hardest braking that may be; None where it is known."""
    if snapshot.machine.braking_deceleration_m_s2 is not None:
        return None
    axis = unknowns.axis_of(
        unknown=unknowns.find(name=BRAKING), once_said=snapshot.once_said.get(BRAKING)
    )
    return traction.braking_harder(
        rules=snapshot.criteria.traction, retardation_m_s2=axis.high
    )


def _findings(judged: Judged) -> Iterator[OpenFinding]:
    """Yield the findings, each under a key of its own that lasts."""
    taken: dict[str, int] = {}
    for row in judged.findings:
        key = f"{row.topic}/{row.place}" if row.place else row.topic
        number = taken[key] = taken.get(key, 0) + 1
        yield _finding(row, key if number == 1 else f"{key} ({number})")


def _finding(row: Finding, key: str) -> OpenFinding:
    return OpenFinding(
        key=key,
        topic=row.topic,
        grade=Grade(row.grade),
        place=row.place,
        criterion=row.criterion,
        reason=row.reason,
        status=row.how_sure,
        value=row.value,
        limit=row.limit,
        unit=row.unit,
        stop=row.stops_service,
        unconfirmed=row.unconfirmed,
    )


def ahead_of(row: Forecast) -> AheadLimit:
    """Return a forecast as the limit that lies ahead."""
    return AheadLimit(
        quantity=row.quantity,
        place=row.place,
        safety=row.safety,
        reason=row.limit_reason,
        wear_class=row.class_name,
        level=row.level,
        limit=row.limit,
        limit_sd=row.limit_sd or 0.0,
        rate_per_year=row.rate_per_year,
        last_on=row.last_on,
        p02_on=row.p02_on,
        p10_on=row.p10_on,
        p50_on=row.p50_on,
        p90_on=row.p90_on,
        plan_before_on=row.plan_before_on,
        chance_already=row.chance_already,
        measure_first=row.measure_first,
        limit_share=row.limit_share,
        own=condition.is_own(row),
        beyond=row.state == ForecastState.BEYOND,
    )


def _margins(judged: Judged) -> tuple[CaseMargin, ...]:
    """Return the least margin of each load case over all ropes."""
    found: dict[LoadCase, CaseMargin] = {}
    for said in judged.cases:
        case = LoadCase(said["tensions"]["case"])
        before = found.get(case)
        if before is None or said["margin"] < (before.now or 0.0):
            found[case] = CaseMargin(
                case=case,
                now=said["margin"],
                as_new=said.get("renewed_margin", said["as_new_margin"]),
                met_otherwise=said["accepted_otherwise"],
            )
    return tuple(found[case] for case in LoadCase if case in found)


def deflector_of(snapshot: Snapshot) -> WrapPulley | None:
    """Return the pulley that sets the wrap; None where an angle is registered."""
    pulley = inputs.deflector_of(snapshot)
    if snapshot.machine.wrap_angle_deg is not None or pulley is None:
        return None
    return WrapPulley(
        pulley_diameter_mm=pulley.diameter_mm,
        offset_x_mm=pulley.offset_x_mm or 0.0,
        drop_h_mm=pulley.drop_h_mm or 0.0,
        double=snapshot.machine.wrap == Wrap.DOUBLE,
    )


def _feeds_equally(judged: Judged) -> bool | None:
    """Return whether the grooves feed the ropes equally, as the findings have it."""
    if any(f.topic == Topic.EQUALISING for f in judged.findings):
        return False
    swings = [f.grade for f in judged.findings if f.topic == Topic.TENSION_SWING]
    depths = [f.grade for f in judged.findings if f.topic == Topic.SEAT_DEPTHS]
    if any(grade in _EVEN for grade in swings) or Grade.IN_ORDER in depths:
        return True
    return None


def _oiled(judged: Judged) -> bool | None:
    """Return whether a rope was read as wet, as the findings have it."""
    found = [
        f.grade != Grade.IN_ORDER
        for f in judged.findings
        if f.topic == Topic.WETNESS and f.grade != Grade.NOT_ASSESSED
    ]
    return any(found) if found else None


def _rim_is_renewable(construction: str) -> bool | None:
    return None if not construction else construction == RimConstruction.BOLTED


def _missing(said: Reason | None) -> Iterator[Item]:
    """Yield the items that a finding's reason names as missing."""
    for reason in (said, *said.also) if said else ():
        items = reason.get("items")
        if reason.code is Code.MISSING and isinstance(items, tuple):
            yield from (i for i in items if isinstance(i, Term | Reason))


def unmeasured(judged: Judged) -> tuple[Item, ...]:
    """Return what is missing, item by item; what blurs a date is asked elsewhere."""
    found = [
        item
        for row in judged.findings
        if row.grade == Grade.NOT_ASSESSED
        for item in _missing(from_json(row.said))
    ]
    return tuple(dict.fromkeys(found))
