"""Ropes against the set's discard criteria: diameter, broken wires, rouge, lay."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import Any

from fleet.models import Rope
from inspections.assessment import breaks_missed, changes, grading, rope_seen
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.assessment.known import Known
from inspections.engineering import discard, verdict
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.criteria.catalogue import DEFINITIONS
from inspections.engineering.criteria.practice import ROUGE_WATCHED
from inspections.engineering.discard import Observation
from inspections.engineering.limit import Stage
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot, diameters
from inspections.inputs.diameters import VisitDiameter
from inspections.models import Grade
from inspections.reasons import Code, Criterion, Reason, Term, Topic, because, missing
from inspections.reasons.reason import Named

DIAMETER_LOSS = "diameter_loss"
DISCARD = Topic.ROPE_DISCARD
# What asks for work on the rope and not for a new one.
_WATCHED = (Topic.TWIST, Topic.DRYNESS, Topic.WETNESS, Topic.WORN_OR_RUSTED)


def findings(known: Known) -> tuple[list[Draft], list[LimitDraft]]:
    """Return what the readings say of each rope, and how thin each may get."""
    drafts: list[Draft] = []
    limits: list[LimitDraft] = []
    snapshot, reason = known.snapshot, known.stops("ropes")
    try:
        rope_set = snapshot.need_rope_set()
    except Missing as error:
        return [not_assessed(topic=DISCARD, reason=error.reason)], []
    if reason:
        return [not_assessed(topic=DISCARD, reason=reason)], []
    series = diameters.by_rope(snapshot)
    least = _diameter_loss(snapshot.criteria, rope_set.nominal_diameter_mm)
    for row in snapshot.ropes:
        drafts += _of_rope(snapshot, row, series.get(row.pk, []))
        if least is not None:
            limits.append(_diameter_limit(row, *least))
    return drafts, limits


def _of_rope(
    snapshot: Snapshot, row: Rope, series: Sequence[VisitDiameter]
) -> Iterator[Draft]:
    place = {"place": f"rope {row.number}", "rope_id": row.pk}
    try:
        seen = rope_seen.of_rope(snapshot, row)
        verdicts = _verdicts(snapshot, seen.observations)
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic=DISCARD, reason=error.reason, **place)
        return
    if not seen.counted:
        yield not_assessed(
            topic=Topic.BROKEN_WIRES,
            reason=missing(Term.BREAKS_COUNT),
            readings=seen.uncounted,
            **place,
        )
    if not series:
        yield not_assessed(
            topic=Topic.ROPE_DIAMETER, reason=missing(Term.DIAMETER_READING), **place
        )
    detail = {"observations": [_seen_only(each) for each in seen.observations]}
    thicker = changes.thicker(snapshot, series)
    nominal_mm = seen.observations[0].nominal_diameter_mm
    yield from _untold(
        verdicts,
        seen,
        place,
        criteria_code=snapshot.criteria.code,
        measured=bool(series),
    )
    for found in (*verdicts, *_rouge_watched(verdicts, seen)):
        topic = _topic(found)
        if not _is_worth_telling(
            found, topic, unread=not seen.counted, measured=bool(series)
        ):
            continue
        grade = grading.of_verdict(
            found, safety=topic not in _WATCHED, span=_span(found, nominal_mm)
        )
        draft = of_verdict(
            topic=topic,
            grade=grade,
            verdict=found,
            **place,
            stops_service=grade == Grade.ACT_NOW,
            unconfirmed=seen.unconfirmed,
            detail=detail,
            readings=seen.readings,
        )
        if thicker and topic is Topic.ROPE_DIAMETER and not _is_met(found):
            draft = _asked_about(draft, thicker)
        yield breaks_missed.with_missed(draft)


def _asked_about(draft: Draft, thicker: Reason) -> Draft:
    """Return the finding of a rope that got thicker: not in order, and no better.

    The thinnest that was read since it was fitted counts, so it is judged all the same;
    open it would be settled by a rope that is read thinner.
    """
    grade = draft.grade
    if grade == Grade.IN_ORDER:
        grade = Grade.KEEP_AN_EYE_ON
    said = thicker if draft.reason is None else thicker.with_also(draft.reason)
    return replace(draft, grade=grade, reason=said)


_FLATS = (
    Topic.CROWN_FLAT_SEALE,
    Topic.CROWN_FLAT_WARRINGTON,
    Topic.CROWN_FLAT_FILLER,
)
_LEAST_DIAMETERS = (Criterion.DIAMETER_LEAST, Criterion.DIAMETER_LEAST_ROUGE)
# The strands of usual lift ropes, where the register does not say.
_STRANDS = (6, 8, 9)


def _verdicts(
    snapshot: Snapshot, seen: tuple[Observation, ...]
) -> tuple[verdict.Verdict, ...]:
    """Return the verdicts on a rope, whatever number of strands it may have.

    Where the numbers do not agree a criterion is open.
    """
    criteria_set = snapshot.criteria
    like = snapshot.once("like counts of wires", discard.LikeCounts)
    if seen[0].strands is not None:
        return discard.judge_stations(
            observations=seen, criteria_set=criteria_set, like=like
        )
    by_key: dict[Named | None, list[verdict.Verdict]] = defaultdict(list)
    for strands in _STRANDS:
        whole = tuple(replace(each, strands=strands) for each in seen)
        for found in discard.judge_stations(
            observations=whole, criteria_set=criteria_set, like=like
        ):
            by_key[found.rule].append(found)
    return tuple(_agreed(found) for found in by_key.values())


def _agreed(found: list[verdict.Verdict]) -> verdict.Verdict:
    """Return the worst of several verdicts, open where they do not agree."""
    if len({each.outcome for each in found}) == 1:
        return verdict.worst_of(
            verdicts=tuple(
                replace(each, criterion=found[0].criterion) for each in found
            )
        )[0]
    first = next(e for e in found if e.outcome is not verdict.Outcome.NOT_MET)
    return replace(
        first,
        outcome=verdict.Outcome.NOT_ASSESSED,
        margin=None,
        reason=because(Code.STRANDS_NOT_KNOWN),
    )


def _rouge_watched(
    verdicts: Sequence[verdict.Verdict], seen: rope_seen.RopeSeen
) -> Iterator[verdict.Verdict]:
    """Yield the verdict of practice on rouge where the set prints no limit."""
    rouge = seen.observations[0].rouge
    printed = any(v.limit is not None and _topic(v) is Topic.ROUGE for v in verdicts)
    if rouge is not None and not printed:
        yield verdict.judge(limit=ROUGE_WATCHED, value=float(rouge))


def _untold(
    verdicts: Sequence[verdict.Verdict],
    seen: rope_seen.RopeSeen,
    place: dict[str, Any],
    *,
    criteria_code: str,
    measured: bool,
) -> Iterator[Draft]:
    """Yield that there is no verdict on what was read, where the set gives none."""
    flat_read = seen.observations[0].crown_flat_mm is not None
    for topic, is_read, term in (
        (Topic.BROKEN_WIRES, seen.counted, Term.BREAKS_IN_LAY),
        (Topic.ROPE_DIAMETER, measured, Term.ROPE_DIAMETER),
        (Topic.CROWN_FLAT_SEALE, flat_read, Term.CROWN_WIRE_FLAT),
    ):
        alike = _FLATS if topic in _FLATS else (topic,)
        own = [each for each in verdicts if _topic(each) in alike]
        if not is_read or any(each.limit is not None for each in own):
            continue
        none = because(Code.NO_LIMIT_IN_SET, set=criteria_code, criterion=term)
        reason = own[0].reason if own else none
        yield not_assessed(topic=topic, reason=reason, readings=seen.readings, **place)


def _is_met(found: verdict.Verdict) -> bool:
    return found.outcome is verdict.Outcome.MET


def _seen_only(seen: Observation) -> dict[str, Any]:
    """Return what was seen of a rope; what was not seen stays out."""
    return {
        name: value
        for name, value in plain(seen).items()
        if value is not None and value != []
    }


def _is_worth_telling(
    found: verdict.Verdict,
    topic: Topic,
    *,
    unread: bool,
    measured: bool,
) -> bool:
    """Leave out what says no more than that something was not read at all.

    A watch limit is told when it is passed; short of that its own limit says more.
    """
    if found.stage is Stage.WATCH:
        return found.outcome is verdict.Outcome.MET
    if found.outcome is not verdict.Outcome.NOT_ASSESSED:
        return True
    if topic is Topic.BROKEN_WIRES:
        return not unread and found.limit is not None
    if topic is Topic.ROPE_DIAMETER:
        return measured and found.limit is not None
    return False


def _span(found: verdict.Verdict, nominal_mm: float) -> float | None:
    """Return how much a least diameter lets a rope lose; None for other limits."""
    if found.rule not in _LEAST_DIAMETERS or found.limit is None:
        return None
    return nominal_mm - found.limit


def _topic(found: verdict.Verdict) -> Topic:
    """Return what is found of a rope by the criterion of a verdict."""
    meaning = DEFINITIONS.get(str(found.rule))
    if meaning is None or meaning.topic is None:
        raise ValueError(f"{found.criterion} is no criterion of a rope")
    return meaning.topic


def _diameter_loss(
    criteria_set: CriteriaSet, nominal_mm: float
) -> tuple[float, float, str] | None:
    """Return the loss of diameter at which a criterion is met, its sd, and its words.

    Where the limit is of an unworn part that was not measured its bad end is taken for
    two standard deviations.
    """
    found = discard.loss_allowed_mm(
        criteria_set=criteria_set, nominal_diameter_mm=nominal_mm
    )
    if found is None:
        return None
    loss_mm, limit = found
    sd_mm = 0.0
    if limit.value is not None and limit.key.startswith("diameter_reduction_unworn"):
        unworn = discard.unworn_range_mm(nominal_diameter_mm=nominal_mm)
        left = 1.0 - limit.value / 100.0
        sd_mm = max((unworn.high - unworn.typical) * left, 0.0) / 2.0
    return loss_mm, sd_mm, f"{limit.words}; {limit.source.text}"[:300]


def _diameter_limit(
    row: Rope, loss_mm: float, sd_mm: float, criterion: str
) -> LimitDraft:
    return LimitDraft(
        quantity=DIAMETER_LOSS,
        place=f"rope {row.number}",
        value=loss_mm,
        sd=sd_mm,
        reason="ROPE_DIAMETER",
        criterion=criterion,
        rope_id=row.pk,
    )
