"""Ropes against the set's discard criteria: diameter, broken wires, rouge, lay."""

from collections.abc import Iterator, Sequence
from typing import Any

from fleet.models import Rope
from inspections.assessment import changes, grading
from inspections.assessment.draft import (
    Draft,
    LimitDraft,
    not_assessed,
    of_verdict,
    plain,
)
from inspections.assessment.known import Known
from inspections.engineering import criteria, discard, verdict
from inspections.engineering.criteria import CriteriaSet
from inspections.engineering.discard import Observation, Rouge, Window
from inspections.engineering.limit import Stage
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot, diameters, is_unconfirmed
from inspections.inputs.diameters import VisitDiameter
from inspections.models import Grade, Reading
from inspections.reasons import Term, Topic, missing

DIAMETER_LOSS = "diameter_loss"
DISCARD = Topic.ROPE_DISCARD
_ROUGE = {"none": Rouge.NONE, "trace": Rouge.TRACE, "heavy": Rouge.HEAVY}
_WINDOWS = {
    "lay": Window.LAY,
    "6d": Window.SIX_DIAMETERS,
    "30d": Window.THIRTY_DIAMETERS,
}
_BREAKS = ("breaks_total", "breaks_worst_strand", "breaks_adjacent", "breaks_valley")


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
    diameter = series[-1] if series else None
    place = {"place": f"rope {row.number}", "rope_id": row.pk}
    breaks = {kind: _worst(snapshot, kind, row) for kind in _BREAKS}
    rouge = snapshot.latest("rouge", rope_id=row.pk)
    lay = snapshot.latest("lay_length", rope_id=row.pk)
    used = [r for r in (*breaks.values(), rouge, lay) if r is not None]
    try:
        seen = _observation(snapshot, diameter, breaks, rouge, lay)
        verdicts = discard.judge_rope(observation=seen, criteria_set=snapshot.criteria)
    except (Missing, OutsideValidity) as error:
        yield not_assessed(topic=DISCARD, reason=error.reason, **place)
        return
    unread = not any(breaks.values())
    if unread:
        yield not_assessed(
            topic=Topic.BROKEN_WIRES, reason=missing(Term.BREAKS_COUNT), **place
        )
    if diameter is None:
        yield not_assessed(
            topic=Topic.ROPE_DIAMETER, reason=missing(Term.DIAMETER_READING), **place
        )
    unconfirmed = any(is_unconfirmed(r) for r in used) or bool(
        diameter and diameter.unconfirmed
    )
    detail = {"observation": _seen_only(seen)}
    readings = tuple(r.pk for r in used) + (diameter.readings if diameter else ())
    hides_loss = changes.grew(snapshot, series) > 0.0
    for found in verdicts:
        topic = _topic(found.criterion)
        if hides_loss and topic is Topic.ROPE_DIAMETER and not _is_met(found):
            continue  # A rope that got thicker is asked about, not found in order.
        if not _is_worth_telling(found, topic, unread=unread, diameter=diameter):
            continue
        grade = grading.of_verdict(
            found, safety=True, span=_span(found, seen.nominal_diameter_mm)
        )
        yield of_verdict(
            topic=topic,
            grade=grade,
            verdict=found,
            **place,
            stops_service=grade == Grade.ACT_NOW,
            unconfirmed=unconfirmed,
            detail=detail,
            readings=readings,
        )


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
    diameter: VisitDiameter | None,
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
        return diameter is not None and found.limit is not None
    return False


def _span(found: verdict.Verdict, nominal_mm: float) -> float | None:
    """Return how much a least diameter lets a rope lose; None for other limits."""
    if not found.criterion.startswith("diameter_least") or found.limit is None:
        return None
    return nominal_mm - found.limit


def _topic(criterion: str) -> Topic:
    if criterion.startswith("breaks"):
        return Topic.BROKEN_WIRES
    if criterion.startswith("diameter"):
        return Topic.ROPE_DIAMETER
    return Topic(criterion.split("/")[0].split("@")[0].replace("_", " "))


def _observation(
    snapshot: Snapshot,
    diameter: VisitDiameter | None,
    breaks: dict[str, Reading | None],
    rouge: Reading | None,
    lay: Reading | None,
) -> Observation:
    """Return what was seen of a rope. Raises Missing, OutsideValidity."""
    rope_set = snapshot.need_rope_set()
    strands = rope_set.strand_class.partition("x")[0]
    total = breaks["breaks_total"]
    window = _WINDOWS[total.place["window"]] if total else Window.LAY
    counts = {
        kind: int(reading.value)
        for kind, reading in breaks.items()
        if reading is not None and reading.value is not None
    }
    if total is not None and any(
        part is not None and part.taken_at > total.taken_at for part in breaks.values()
    ):
        # A strand counted after the whole rope: wires do not heal, so the rope has
        # at least as many broken ones as its worst strand.
        counts["breaks_total"] = max(counts.values())
    return Observation(
        nominal_diameter_mm=rope_set.nominal_diameter_mm,
        strands=int(strands) if strands.isdigit() else None,
        window=window,
        breaks_total=counts.get("breaks_total"),
        breaks_worst_strand=counts.get("breaks_worst_strand"),
        breaks_adjacent=counts.get("breaks_adjacent"),
        breaks_valley=counts.get("breaks_valley"),
        rouge=_ROUGE[rouge.word] if rouge else None,
        diameters_mm=diameter.thinnest_place_mm if diameter else (),
        lay_length_mm=lay.value if lay else None,
        lay_length_as_fitted_mm=rope_set.lay_length_mm,
    )


def _worst(snapshot: Snapshot, kind: str, row: Rope) -> Reading | None:
    """Return the highest count of the latest visit that counted on a rope."""
    found = [r for r in snapshot.of_kind(kind) if r.rope_id == row.pk]
    if not found:
        return None
    visit_id = found[-1].visit_id
    last = [r for r in found if r.visit_id == visit_id]
    return max(last, key=lambda reading: reading.value or 0.0)


def _diameter_loss(
    criteria_set: CriteriaSet, nominal_mm: float
) -> tuple[float, str] | None:
    """Return the loss of diameter at which a criterion is met, and its words."""
    reduction = criteria.lookup(
        criteria_set=criteria_set, key="diameter_reduction_nominal"
    )
    least = criteria.lookup(
        criteria_set=criteria_set, key="diameter_least", nominal_mm=nominal_mm
    )
    losses = []
    if reduction.value is not None:
        losses.append((nominal_mm * reduction.value / 100.0, reduction))
    if least.value is not None:
        losses.append((nominal_mm - least.value, least))
    if not losses:
        return None
    loss_mm, limit = min(losses, key=lambda pair: pair[0])
    return loss_mm, f"{limit.words}; {limit.source.text}"[:300]


def _diameter_limit(row: Rope, loss_mm: float, criterion: str) -> LimitDraft:
    return LimitDraft(
        quantity=DIAMETER_LOSS,
        place=f"rope {row.number}",
        value=loss_mm,
        sd=0.0,
        reason="ROPE_DIAMETER",
        criterion=criterion,
        rope_id=row.pk,
    )
