"""The set: how evenly its ropes carry, and what unequal grooves feed."""

from dataclasses import replace
from typing import Any

from fleet.models import Rope
from inspections.assessment import grading
from inspections.assessment.draft import Draft, not_assessed, of_verdict, plain
from inspections.assessment.known import Known
from inspections.engineering import discard, tension
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Outcome
from inspections.inputs import Snapshot
from inspections.models import Grade, Reading
from inspections.reasons import Code, Term, Topic, because, missing

TENSION = Topic.ROPE_TENSION
SWING = Topic.TENSION_SWING
FORCE, INDEX, WAVE = "rope_tension", "tension_index", "wave_time"
# Shares are no newtons: they have a name of their own.
_NAMES = {FORCE: "tensions_n", INDEX: "tension_indices", WAVE: "tension_indices"}
# A rope that hangs loose reads nothing; it counts as this, so that it is judged.
_LOOSE = {FORCE: 1.0, INDEX: 0.001, WAVE: 0.0}
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
    position, found = max(by_place.items(), key=lambda item: len(item[1]))
    drafts += _spread(snapshot, ropes, position, found)
    drafts += _to_act_on(snapshot, by_place)
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


def _latest(snapshot: Snapshot) -> dict[str, dict[int, Reading]]:
    """Return position -> rope id -> reading, of the latest visit, on the car side."""
    current = {rope.pk for rope in snapshot.ropes}
    # Shares of a clamp gauge do as well as forces, where no forces were read.
    # So do the times of a wave, over lengths that are equal: T goes with 1/t².
    forces = next(
        (read for kind in _NAMES if (read := list(snapshot.of_kind(kind)))), []
    )
    found = [r for r in forces if r.rope_id in current and r.place.get("side") == "car"]
    by_place: dict[str, dict[int, Reading]] = {}
    for reading in found:
        if reading.visit_id == found[-1].visit_id and reading.rope_id is not None:
            at = by_place.setdefault(reading.place["car_position"], {})
            at[reading.rope_id] = reading
    return by_place


def _tension(reading: Reading) -> float:
    """Return the force [N], or share of it, that a reading says; never nothing."""
    value = reading.value or 0.0
    if reading.kind == WAVE:
        return 1.0 / max(value, 0.001) ** 2
    return max(value, _LOOSE[reading.kind])


def _to_act_on(
    snapshot: Snapshot, by_place: dict[str, dict[int, Reading]]
) -> list[Draft]:
    """Return the spread and the slack rope that ask for equalising, at any place."""
    drafts = []
    for position, at in by_place.items():
        values = tuple(_tension(r) for r in at.values())
        for found in discard.judge_tension_action(
            tensions_n=values,
            ropes=len(snapshot.ropes),
            criteria_set=snapshot.criteria,
        ):
            if found.outcome is Outcome.MET:
                drafts.append(
                    of_verdict(
                        topic=TENSION,
                        grade=Grade.PLAN_WORK,
                        verdict=found,
                        place=f"car at the {position}",
                        detail={
                            _NAMES[next(iter(at.values())).kind]: list(values),
                            "ropes": len(snapshot.ropes),
                        },
                        readings=tuple(r.pk for r in at.values()),
                    )
                )
    return drafts


def _spread(
    snapshot: Snapshot,
    ropes: tuple[Rope, ...],
    position: str,
    found: dict[int, Reading],
) -> list[Draft]:
    values = tuple(_tension(r) for r in found.values())
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
                    _NAMES[next(iter(found.values())).kind]: list(values),
                    "ropes": len(ropes),
                    "gauge_sd_ratio": GAUGE_SD_RATIO,
                    "spread": plain(noise),
                },
                readings=readings,
            )
        )
    return drafts


def _swing(
    ropes: tuple[Rope, ...], bottom: dict[int, Reading], top: dict[int, Reading]
) -> list[Draft]:
    """Return the swing of each rope's share; a swing over noise asks for work."""
    both = [rope for rope in ropes if rope.pk in bottom and rope.pk in top]
    readings = tuple(at[rope.pk].pk for rope in both for at in (bottom, top))
    given: dict[str, Any] = {
        "bottom_n": tuple(_tension(bottom[rope.pk]) for rope in both),
        "top_n": tuple(_tension(top[rope.pk]) for rope in both),
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
