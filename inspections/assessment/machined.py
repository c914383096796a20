"""How true the grooves run and how equal they were left: limits of new machining."""

from collections.abc import Iterator

from inspections import inputs
from inspections.assessment.draft import Draft, of_verdict
from inspections.assessment.known import Known
from inspections.engineering import discard
from inspections.engineering.verdict import Outcome, Verdict
from inspections.models import Grade, Reading, VisitKind
from inspections.reasons import Topic

RUNOUT = Topic.RUNOUT
EQUAL = Topic.AS_LEFT


def findings(known: Known) -> Iterator[Draft]:
    """Yield the run-out of the worst seat, and the grooves' difference as left."""
    yield from _runout(known)
    yield from _difference(known)
    yield from _worn_difference(known)


def _runout(known: Known) -> Iterator[Draft]:
    geometry = known.snapshot.geometry
    read = [
        reading
        for reading in known.snapshot.of_kind("seat_runout")
        if inputs.seats.is_since_cut(known.snapshot, reading)
    ]
    if not read or geometry is None or geometry.pitch_diameter_mm is None:
        return
    worst = max(read, key=lambda reading: reading.value or 0.0)
    given = {
        "runout_mm": worst.value or 0.0,
        "sheave_diameter_mm": geometry.pitch_diameter_mm,
    }
    key = "seat_runout_share_new"
    found = discard.judge_value(
        criteria_set=known.snapshot.criteria,
        key=key,
        value=100.0 * given["runout_mm"] / given["sheave_diameter_mm"],
    )
    yield _told(RUNOUT, found, worst, {"key": key, **given})


def _difference(known: Known) -> Iterator[Draft]:
    """Yield the difference between grooves that were just cut; worn ones differ."""
    read = [
        reading
        for reading in known.snapshot.last_visit("seat_diameter_difference")
        if reading.visit.kind == VisitKind.AS_LEFT
    ]
    if not read:
        return
    worst = max(read, key=lambda reading: abs(reading.value or 0.0))
    key = "groove_diameter_spread_new"
    value = abs(worst.value or 0.0)
    found = discard.judge_value(
        criteria_set=known.snapshot.criteria, key=key, value=value
    )
    yield _told(EQUAL, found, worst, {"key": key, "value": value})


def _worn_difference(known: Known) -> Iterator[Draft]:
    """Yield the greatest difference of worn grooves since the cut, as of seat depths.

    Half of a difference in diameter is one in depth.
    """
    rope_set = known.snapshot.rope_set
    read = [
        reading
        for reading in known.snapshot.of_kind("seat_diameter_difference")
        if reading.visit.kind != VisitKind.AS_LEFT
        and inputs.seats.is_since_cut(known.snapshot, reading)
    ]
    if not read or rope_set is None:
        return
    worst = max(read, key=lambda reading: abs(reading.value or 0.0))
    depth_mm = abs(worst.value or 0.0) / 2.0
    found = discard.judge_value(
        criteria_set=known.snapshot.criteria,
        key="groove_depth_spread",
        value=100.0 * depth_mm / rope_set.nominal_diameter_mm,
    )
    detail = {"key": "groove_depth_spread", "depth_mm": depth_mm}
    yield _told(Topic.SEAT_DEPTHS, found, worst, detail)


def _told(
    topic: Topic, found: Verdict, worst: Reading, detail: dict[str, object]
) -> Draft:
    grade = Grade.IN_ORDER
    if found.outcome is Outcome.NOT_ASSESSED:
        grade = Grade.NOT_ASSESSED
    elif found.outcome is Outcome.MET:
        # Limits of new machines: worth an eye on an old one, no more; our rule.
        grade = Grade.KEEP_AN_EYE_ON
    return of_verdict(
        topic=topic,
        grade=grade,
        verdict=found,
        place=f"groove {worst.groove.number}" if worst.groove else "",
        groove_id=worst.groove_id,
        detail=detail,
        readings=(worst.pk,),
    )
