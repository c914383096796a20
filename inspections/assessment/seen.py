"""What was seen by eye, and how the car levels; "not seen" is never "pass"."""

from collections import defaultdict
from collections.abc import Iterator

from inspections.assessment import words_seen
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.known import Known
from inspections.engineering.source import Certainty
from inspections.inputs import Snapshot
from inspections.kinds import KINDS, Subject
from inspections.models import Grade, Reading
from inspections.reasons import Code, Reason, Term, Topic, because
from inspections.stops import causes

LEVELLING = Topic.LEVELLING
STOP_SOURCE = "common practice, no source: out of service until a competent person"
# Usual levelling, and the end of what is still plausible; common practice, no source.
USUAL_LEVELLING_MM = 10.0
WORST_LEVELLING_MM = 35.0
# What is seen of the machine as a whole, and takes it out of service.
_SEEN = tuple(
    (kind, kind.topic)
    for kind in KINDS.values()
    if kind.subject is Subject.MACHINE and kind.stops and kind.topic and not kind.place
)
_WORDS = {
    "yes": Term.YES,
    "no": Term.NO,
    "pass": Term.PASS,
    "defect": Term.DEFECT,
}


def findings(known: Known) -> Iterator[Draft]:
    """Yield slip and brake slide as reported, every check, and the worst levelling."""
    snapshot = known.snapshot
    for kind, topic in _SEEN:
        rule = causes.RULES[causes.of_reading(kind=kind.code, part="")]
        [bad] = kind.unsafe_words
        last = words_seen.standing(
            snapshot, snapshot.of_kind(kind.code), bad=bad, works=rule.works
        )
        if last is not None:
            yield _worded(last, topic=topic, bad=bad)
    by_part: dict[str, list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind("check"):
        by_part[str(reading.place.get("part", ""))].append(reading)
    for part, read in sorted(by_part.items()):
        works = causes.RULES[causes.of_part(part)].works
        last = words_seen.standing(snapshot, read, bad="defect", works=works)
        if last is None:
            continue
        if last.word == words_seen.NOT_SEEN:
            yield not_assessed(
                topic=Topic.CHECK,
                place=part,
                reason=because(Code.NOT_SEEN),
                readings=(last.pk,),
            )
        else:
            yield _worded(last, topic=Topic.CHECK, bad="defect", place=part)
    yield from _levelling(snapshot)


def _worded(last: Reading, *, topic: Topic, bad: str, place: str = "") -> Draft:
    is_bad = last.word == bad
    return Draft(
        topic=topic,
        place=place,
        grade=Grade.ACT_NOW if is_bad else Grade.IN_ORDER,
        rule=Term.SEEN_BY_EYE,
        word=f"{last.kind}: {last.word}",
        source=STOP_SOURCE,
        how_sure=Certainty.COMMON_PRACTICE,
        reason=because(
            Code.REPORTED,
            word=_WORDS[last.word or ""],
            seen_on=last.taken_at.date(),
        ),
        stops_service=is_bad,
        readings=(last.pk,),
    )


def _levelling(snapshot: Snapshot) -> Iterator[Draft]:
    """Yield the worst levelling of the last visit; slip and brake show there too."""
    read = [r for r in snapshot.last_visit("levelling_error") if r.value is not None]
    if not read:
        return
    worst = max(read, key=lambda reading: abs(reading.value or 0.0))
    off_mm = abs(worst.value or 0.0)
    grade: str = Grade.IN_ORDER
    reason: Reason | None = None
    if off_mm > USUAL_LEVELLING_MM:
        grade = Grade.KEEP_AN_EYE_ON
        reason = because(Code.LEVELLING_HIGH)
    if off_mm > WORST_LEVELLING_MM:
        grade = Grade.PLAN_WORK
    yield Draft(
        topic=LEVELLING,
        place=f"floor {worst.place.get('floor', '')}".strip(),
        grade=grade,
        value=off_mm,
        limit=USUAL_LEVELLING_MM,
        margin=USUAL_LEVELLING_MM - off_mm,
        unit="mm",
        rule=Term.LEVELLING_ERROR,
        source="common practice, no source",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=reason,
        detail={"levelling_errors_mm": [r.value for r in read]},
        readings=tuple(r.pk for r in read),
    )
