"""Steps between rope crowns under a straightedge: how unequally the ropes stand.

Which rope the edge lay on is not recorded, so a step is the least that the ropes at its
ends differ by. The largest since ropes and grooves are as they are counts, as far as
later independent readings at the same groove and mark leave it.
"""

from collections.abc import Iterator, Sequence

from inspections.assessment import words_seen
from inspections.assessment.draft import Draft, of_verdict
from inspections.assessment.known import Known
from inspections.engineering import discard, evidence
from inspections.engineering.verdict import Outcome
from inspections.inputs import noise, sightings
from inspections.models import Grade, Reading
from inspections.reasons import Topic

STEP = Topic.CROWN_STEP
KEY = "groove_depth_spread"


def findings(known: Known) -> Iterator[Draft]:
    """Yield the largest step between crowns, held against the spread of seat depths."""
    snapshot, rope_set = known.snapshot, known.snapshot.rope_set
    since = words_seen.grip_changed_on(snapshot)
    read = [
        reading
        for reading in snapshot.of_kind("rope_crown_step")
        if reading.value is not None and words_seen.day_of(snapshot, reading) >= since
    ]
    if rope_set is None or not read:
        return
    step_mm, worst = max(_counted(read), key=lambda pair: pair[0])
    verdict = discard.judge_value(
        criteria_set=snapshot.criteria,
        key=KEY,
        value=100.0 * step_mm / rope_set.nominal_diameter_mm,
    )
    grade: str = Grade.IN_ORDER
    if verdict.outcome is Outcome.NOT_ASSESSED:
        grade = Grade.NOT_ASSESSED
    elif verdict.outcome is Outcome.MET:
        grade = Grade.KEEP_AN_EYE_ON
    number = worst.groove.number if worst.groove else ""
    yield of_verdict(
        topic=STEP,
        grade=grade,
        verdict=verdict,
        place=f"groove {number}",
        groove_id=worst.groove_id,
        detail={
            "key": KEY,
            "step_mm": step_mm,
            "step_sd_mm": noise.of(worst),
            "nominal_diameter_mm": rope_set.nominal_diameter_mm,
        },
        readings=(worst.pk,),
    )


def _counted(read: Sequence[Reading]) -> list[tuple[float, Reading]]:
    """Return what each step still counts for [mm], with its reading."""
    counted = evidence.counts_as_mm(
        sightings=[
            sightings.sighting(
                value_mm=reading.value or 0.0,
                sd_mm=noise.of(reading),
                taken_at=reading.taken_at,
                visit_id=reading.visit_id,
                readings=(reading,),
                mark=f"{reading.groove_id}/{sightings.marks_of((reading,))}",
            )
            for reading in read
        ]
    )
    return list(zip(counted, read, strict=True))
