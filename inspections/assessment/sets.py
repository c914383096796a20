"""The set: how evenly its ropes carry, and what unequal grooves feed.

Ropes or places that were not read make nothing better: what asked for a look or for
work in the last visit that read all stands beside what later ones read.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import Any, TypeVar

from fleet.models import Rope
from inspections.assessment import grading, tensions_read, waves
from inspections.assessment.draft import Draft, not_assessed, of_verdict, plain
from inspections.assessment.known import Known
from inspections.assessment.tensions_read import Carried, TensionPlace
from inspections.engineering import discard, tension
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.models import Grade
from inspections.reasons import Code, Term, Topic, because, missing

TENSION = Topic.ROPE_TENSION
SWING = Topic.TENSION_SWING
# One reading of a hand force gauge over the reading; common practice, no source.
GAUGE_SD_RATIO = 0.04

# Rope id -> what it carries, by one way to put a visit's readings together.
Read = Mapping[int, Carried]
# Position of the car -> that, of one visit.
ByPosition = Mapping[str, Read]
WaysByPosition = Mapping[str, Sequence[Read]]
Of = TypeVar("Of")


def findings(known: Known) -> list[Draft]:
    """Return spread and swing of the tensions, the latest visit's first."""
    snapshot = known.snapshot
    visits = list(_at_car(tensions_read.by_visit(snapshot)))
    if not visits:
        return [not_assessed(topic=TENSION, reason=missing(Term.ROPE_TENSIONS))]
    ways = list(_at_car(tensions_read.ways_by_visit(snapshot)))
    return [*_spreads(known, visits), grading.worst_of(_swings(snapshot.ropes, ways))]


def _at_car(visits: Iterable[Mapping[TensionPlace, Of]]) -> Iterator[Mapping[str, Of]]:
    """Yield what was read at the car's side by the car's place, of each visit."""
    for visit in visits:
        read = {p: ropes for p, ropes in visit.items() if p.side == "car"}
        for kind in tensions_read.KINDS:
            # Shares do as well as forces, where no forces were read.
            found = {p.position: ropes for p, ropes in read.items() if p.kind == kind}
            if found:
                yield found
                break


def _spreads(known: Known, visits: Sequence[ByPosition]) -> Iterator[Draft]:
    """Yield the spread of the latest visit, or what was worse when all were read."""
    ropes = len(known.snapshot.ropes)
    told: dict[tuple[str, str], list[Draft]] = {}
    for number, visit in enumerate(visits):
        for draft in _of_visit(known, visit):
            if number == 0 or grading.urgency(draft) > 0:
                told.setdefault((draft.place, draft.criterion), []).append(draft)
        if any(len(read) >= ropes for read in visit.values()):
            break
    yield from map(grading.worst_of, told.values())


def _of_visit(known: Known, visit: ByPosition) -> Iterator[Draft]:
    fullest = max(visit, key=lambda position: len(visit[position]))
    for position, found in visit.items():
        for draft in _spread(known, known.snapshot.ropes, position, found):
            # Of the other places only what is past its limit is told beside it.
            if position == fullest or (draft.margin is not None and draft.margin < 0.0):
                yield draft


def _swings(ropes: Sequence[Rope], visits: Sequence[WaysByPosition]) -> Iterator[Draft]:
    """Yield the swing of each visit back to one that read all at both places."""
    for number, visit in enumerate(visits):
        bottom, top = visit.get("bottom"), visit.get("top")
        if bottom and top:
            for pair in _furthest(bottom, top):
                yield _swing(ropes, *pair)
            if min(len(bottom[0]), len(top[0])) >= len(ropes):
                return
        elif number == 0:
            yield not_assessed(
                topic=SWING,
                reason=missing(Term.TENSIONS_BOTTOM_AND_TOP).with_also(
                    because(Code.ONE_PLACE_SHOWS_LITTLE)
                ),
            )


def _furthest(
    bottom: Sequence[Read], top: Sequence[Read]
) -> Iterator[tuple[Read, Read]]:
    """Yield the ways to put readings together in which some rope swings the furthest.

    So nobody's second number takes away what the first one swings by.
    """
    both = sorted(bottom[0].keys() & top[0].keys())
    if len(bottom) == len(top) == 1 or not both:
        yield bottom[0], top[0]
        return
    for rope_id in both:
        share = partial(tensions_read.share_of, rope_id=rope_id)
        yield max(bottom, key=share), min(top, key=share)
        yield min(bottom, key=share), max(top, key=share)


def _spread(
    known: Known,
    ropes: Sequence[Rope],
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
    ropes: Sequence[Rope], bottom: Mapping[int, Carried], top: Mapping[int, Carried]
) -> Draft:
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
        return not_assessed(topic=SWING, reason=error.reason, readings=readings)
    if len(both) < len(ropes) and not found.is_unequal:
        # The rope that was not read may be the one that swings.
        lacking = missing(Term.TENSIONS_BOTTOM_AND_TOP)
        return not_assessed(topic=SWING, reason=lacking, readings=readings)
    index, greatest = found.greatest
    limit = max(found.limit_ratio, found.noise_ratio)
    return Draft(
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
