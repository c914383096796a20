"""The set: how evenly its ropes carry, and what unequal grooves feed."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from fleet.models import Rope
from inspections.assessment import grading, tensions_read, waves
from inspections.assessment.draft import Draft, not_assessed, of_verdict, plain
from inspections.assessment.known import Known
from inspections.assessment.tensions_read import Carried, TensionPlace
from inspections.engineering import discard, tension
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot
from inspections.models import Grade
from inspections.reasons import Code, Term, Topic, because, missing

TENSION = Topic.ROPE_TENSION
SWING = Topic.TENSION_SWING
# One reading of a hand force gauge over the reading; common practice, no source.
GAUGE_SD_RATIO = 0.04


def findings(known: Known) -> list[Draft]:
    """Return spread and swing of the tensions of the latest visit that read them."""
    snapshot = known.snapshot
    by_place = _latest(snapshot)
    if not by_place:
        return [not_assessed(topic=TENSION, reason=missing(Term.ROPE_TENSIONS))]
    drafts: list[Draft] = []
    ropes = snapshot.ropes
    fullest = max(by_place, key=lambda position: len(by_place[position]))
    for position, found in by_place.items():
        drafts += [
            draft
            for draft in _spread(known, ropes, position, found)
            # Of the other places only what is past its limit is told beside it.
            if position == fullest or (draft.margin is not None and draft.margin < 0.0)
        ]
    bottom, top = by_place.get("bottom"), by_place.get("top")
    if bottom and top:
        drafts += _swing(ropes, bottom, top)
    else:
        drafts.append(
            not_assessed(
                topic=SWING,
                reason=missing(Term.TENSIONS_BOTTOM_AND_TOP).with_also(
                    because(Code.ONE_PLACE_SHOWS_LITTLE)
                ),
            )
        )
    return drafts


def _latest(snapshot: Snapshot) -> dict[str, Mapping[int, Carried]]:
    """Return position -> rope id -> what it carries, of the latest visit, car side."""
    for visit in tensions_read.by_visit(snapshot):
        read = {p: ropes for p, ropes in visit.items() if p.side == "car"}
        for kind in tensions_read.KINDS:
            # Shares do as well as forces, where no forces were read.
            found = {p.position: ropes for p, ropes in read.items() if p.kind == kind}
            if found:
                return found
    return {}


def _spread(
    known: Known,
    ropes: tuple[Rope, ...],
    position: str,
    found: Mapping[int, Carried],
) -> list[Draft]:
    values = tuple(r.value for r in found.values())
    snapshot = known.snapshot
    kind = next(iter(found.values())).kind
    place = TensionPlace(kind=kind, side="car", position=position)
    forces = waves.forces_of(known, place, found)
    readings = tuple(r.pk for r in found.values())
    try:
        verdicts = discard.judge_tension_spread(
            tensions_n=values, ropes=len(ropes), criteria_set=snapshot.criteria
        )
        noise = tension.tension_spread(tensions_n=values, gauge_sd_ratio=GAUGE_SD_RATIO)
    except OutsideValidity as error:
        return [not_assessed(topic=TENSION, reason=error.reason, readings=readings)]
    drafts = []
    for verdict in verdicts:
        if verdict.limit is None:
            continue  # A gap of the set, told once for the whole machine.
        grade = grading.of_verdict(verdict, safety=False)
        if grade == Grade.KEEP_AN_EYE_ON and not noise.beyond_noise:
            grade = Grade.IN_ORDER
            hidden = verdict.reason.with_also(because(Code.WITHIN_GAUGE_NOISE))
            verdict = replace(verdict, reason=hidden)
        drafts.append(
            of_verdict(
                topic=TENSION,
                grade=grade,
                verdict=verdict,
                place=f"car at the {position}",
                detail={
                    tensions_read.name_of(kind): list(values),
                    "ropes": len(ropes),
                    "gauge_sd_ratio": GAUGE_SD_RATIO,
                    "spread": plain(noise),
                    **(
                        {"forces_by_wave": plain(tuple(forces.values()))}
                        if forces
                        else {}
                    ),
                },
                readings=readings,
            )
        )
    return drafts


def _swing(
    ropes: tuple[Rope, ...], bottom: Mapping[int, Carried], top: Mapping[int, Carried]
) -> list[Draft]:
    """Return the swing of each rope's share; a swing over noise asks for work."""
    both = [rope for rope in ropes if rope.pk in bottom and rope.pk in top]
    readings = tuple(at[rope.pk].pk for rope in both for at in (bottom, top))
    given: dict[str, Any] = {
        "bottom_n": tuple(bottom[rope.pk].value for rope in both),
        "top_n": tuple(top[rope.pk].value for rope in both),
    }
    try:
        found = tension.tension_swing(**given, gauge_sd_ratio=GAUGE_SD_RATIO)
    except OutsideValidity as error:
        return [not_assessed(topic=SWING, reason=error.reason, readings=readings)]
    index, greatest = found.greatest
    limit = max(found.limit_ratio, found.noise_ratio)
    return [
        Draft(
            topic=SWING,
            grade=Grade.PLAN_WORK if found.is_unequal else Grade.IN_ORDER,
            place=f"rope {both[index - 1].number}",
            value=abs(greatest),
            limit=limit,
            margin=limit - abs(greatest),
            rule=Term.SHARE_CHANGE,
            source="common practice, no source; noise derived",
            how_sure=Certainty.COMMON_PRACTICE,
            reason=because(Code.FEEDS_UNEQUALLY) if found.is_unequal else None,
            detail={
                **plain(given),
                "gauge_sd_ratio": GAUGE_SD_RATIO,
                "swing": plain(found),
            },
            readings=readings,
        )
    ]
