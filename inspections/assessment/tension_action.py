"""Tensions that ask for equalising: a spread past any setting, a slack rope.

Ropes that were not read make nothing better: what a visit read of some ropes stands
beside the last visit that read them all.
"""

from collections.abc import Iterator, Mapping
from dataclasses import replace

from inspections.assessment import grading, tensions_read
from inspections.assessment.draft import Draft, of_verdict
from inspections.assessment.known import Known
from inspections.assessment.tensions_read import Carried, TensionPlace, Visit
from inspections.engineering import discard
from inspections.engineering.verdict import Outcome, Verdict
from inspections.inputs import Snapshot
from inspections.reasons import Code, Topic, because

ACTION = Topic.ROPE_TENSION
_TWO = 2


def findings(known: Known) -> Iterator[Draft]:
    """Yield what asks for equalising, at every place where it was read."""
    snapshot = known.snapshot
    told: set[tuple[str, str]] = set()
    for visit in _standing(snapshot):
        for place, read in visit.items():
            for draft in _of_place(snapshot, place, read):
                key = (draft.place, str(draft.rule))
                if key not in told:
                    told.add(key)
                    yield draft


def _standing(snapshot: Snapshot) -> Iterator[Visit]:
    """Yield visits from the newest back to the one that read every rope somewhere."""
    for visit in tensions_read.by_visit(snapshot):
        yield visit
        if any(len(read) >= len(snapshot.ropes) for read in visit.values()):
            return


def _of_place(
    snapshot: Snapshot, place: TensionPlace, read: Mapping[int, Carried]
) -> Iterator[Draft]:
    values = tuple(each.value for each in read.values())
    verdicts: tuple[Verdict, ...]
    if min(values) <= 0.0 and place.kind == tensions_read.FORCE:
        # A rope without any force is slack, whatever was read of the others.
        verdicts = (
            discard.judge_value(
                criteria_set=snapshot.criteria, key="tension_slack_least", value=0.0
            ),
        )
    elif len(values) < _TWO or min(values) <= 0.0:
        return
    else:
        verdicts = discard.judge_tension_action(
            tensions_n=values, ropes=len(snapshot.ropes), criteria_set=snapshot.criteria
        )
    for verdict in verdicts:
        if verdict.outcome is not Outcome.MET:
            continue  # Short of this the watch limit says more.
        yield of_verdict(
            topic=ACTION,
            grade=grading.of_verdict(verdict, safety=False),
            verdict=replace(
                verdict, reason=verdict.reason.with_also(because(Code.EQUALISE))
            ),
            place=f"{place.side} at the {place.position}",
            detail={
                tensions_read.name_of(place.kind): list(values),
                "ropes": len(snapshot.ropes),
            },
            readings=tuple(each.pk for each in read.values()),
        )
