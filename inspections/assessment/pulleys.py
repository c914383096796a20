"""How evenly deflectors, pulleys and the secondary sheave have worn.

Ropes in grooves of unequal depth run on unequal radii there too: each turn feeds the
deeper one less, and what is not slid off is a difference of tension.
"""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace

from fleet.models import Pulley
from inspections.assessment import words_seen
from inspections.assessment.draft import Draft, LimitDraft, not_assessed, of_verdict
from inspections.assessment.known import Known
from inspections.assessment.over import Over
from inspections.assessment.seat_depths import KEY, NOISE_PROBABILITY
from inspections.engineering import criteria, discard, tension
from inspections.engineering.answer import Answer
from inspections.engineering.verdict import Outcome
from inspections.inputs import Snapshot
from inspections.kinds import KINDS
from inspections.models import Grade, Reading
from inspections.reasons import Code, Reason, Term, Topic, because, missing

KIND = "pulley_groove_depth"
SPREAD = "pulley_groove_spread"
_TWO = 2


def findings(known: Known) -> Iterator[Draft]:
    """Yield the difference between the deepest and the shallowest groove of each."""
    snapshot = known.snapshot
    registered = {str(pulley.number) for pulley in snapshot.pulleys}
    unknown: dict[str, list[int]] = defaultdict(list)
    for reading in snapshot.of_kind(KIND):
        number = str(reading.place.get("pulley", ""))
        if number not in registered:
            unknown[number].append(reading.pk)
    for number, read in sorted(unknown.items()):
        yield not_assessed(
            topic=Topic.PULLEY_GROOVES,
            place=f"pulley {number}",
            reason=missing(Term.PULLEY_REGISTERED),
            readings=tuple(read),
        )
    for pulley in snapshot.pulleys:
        depths = _standing(snapshot, pulley)
        if depths:
            yield _judged(snapshot, pulley, depths)


def limits(known: Known) -> Iterator[LimitDraft]:
    """Yield how far the grooves of each pulley that was read may differ [mm]."""
    snapshot = known.snapshot
    ropes = snapshot.rope_set
    limit = criteria.lookup(criteria_set=snapshot.criteria, key=KEY)
    if ropes is None or limit.value is None:
        return
    for pulley in snapshot.pulleys:
        if _standing(snapshot, pulley):
            yield LimitDraft(
                quantity=SPREAD,
                place=f"pulley {pulley.number}",
                value=limit.value / 100.0 * ropes.nominal_diameter_mm,
                sd=0.0,
                reason="PULLEY_SPREAD",
                criterion=f"{limit.words}; {limit.source.text}"[:300],
                safety=False,
            )


def _standing(snapshot: Snapshot, pulley: Pulley) -> dict[str, list[Reading]]:
    """Return what each groove was last read at since the pulley was fitted.

    Of several readings of one visit all stand: the worst of them counts.
    """
    found: dict[str, list[Reading]] = defaultdict(list)
    for reading in snapshot.of_kind(KIND):
        if reading.value is None or reading.place.get("pulley") != str(pulley.number):
            continue
        if words_seen.day_of(snapshot, reading) < pulley.fitted_on:
            continue
        of_groove = found[str(reading.place.get("pulley_groove", ""))]
        if of_groove and of_groove[-1].visit_id != reading.visit_id:
            of_groove.clear()
        of_groove.append(reading)
    return found


def _judged(
    snapshot: Snapshot, pulley: Pulley, depths: dict[str, list[Reading]]
) -> Draft:
    read = [reading for of_groove in depths.values() for reading in of_groove]
    values = [reading.value or 0.0 for reading in read]
    spread_mm = max(values) - min(values)
    sd_mm = max(_sd(reading) for reading in read)
    noise_mm = sd_mm * tension.range_quantile(
        count=max(len(read), _TWO), probability=NOISE_PROBABILITY
    )
    ropes = snapshot.rope_set
    if ropes is None or len(depths) < _TWO:
        return not_assessed(
            topic=Topic.PULLEY_GROOVES,
            place=f"pulley {pulley.number}",
            reason=missing(Term.PULLEY_GROOVES),
            readings=tuple(reading.pk for reading in read),
        )
    verdict = discard.judge_value(
        criteria_set=snapshot.criteria,
        key=KEY,
        value=100.0 * spread_mm / ropes.nominal_diameter_mm,
    )
    grade, reason = _graded(verdict.outcome, spread_mm, noise_mm, verdict.reason)
    is_partly = len(depths) < ropes.ropes_count
    draft = of_verdict(
        topic=Topic.PULLEY_GROOVES,
        grade=grade,
        verdict=verdict,
        detail={
            "key": KEY,
            "pulley": pulley.number,
            "diameter_mm": pulley.diameter_mm,
            "nominal_diameter_mm": ropes.nominal_diameter_mm,
            "seat_depths_mm": values,
            "noise_mm": noise_mm,
        },
        readings=tuple(reading.pk for reading in read),
        place=f"pulley {pulley.number}",
    )
    if is_partly and grade == Grade.IN_ORDER:
        # The groove that was not read may be the one that differs.
        reason = missing(Term.PULLEY_GROOVES)
        draft = replace(draft, grade=Grade.NOT_ASSESSED, over=None)
    elif is_partly and draft.answer == Answer.WITHIN:
        reason = missing(Term.PULLEY_GROOVES).with_also(*filter(None, (reason,)))
        draft = replace(draft, over=Over(answer=Answer.OPEN, best=draft.margin))
    return replace(draft, reason=reason)


def _graded(
    outcome: Outcome, spread_mm: float, noise_mm: float, why: Reason | None
) -> tuple[str, Reason | None]:
    if outcome is Outcome.NOT_ASSESSED:
        return Grade.NOT_ASSESSED, why
    if spread_mm > noise_mm:
        return Grade.KEEP_AN_EYE_ON, because(Code.BEYOND_NOISE)
    return Grade.IN_ORDER, because(Code.WITHIN_NOISE)


def _sd(reading: Reading) -> float:
    """Return how much a reading scatters: its gauge says so, or its kind."""
    gauge = reading.gauge
    known = gauge.repeatability_mm if gauge is not None else None
    return known or KINDS[KIND].noise_mm or 0.0
