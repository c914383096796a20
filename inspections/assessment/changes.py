"""What changed the wrong way without work that explains it, or cannot be: asked about.

What is asked about is judged all the same, for less of it would be worse: the question
stands beside.
"""

from collections.abc import Iterator, Sequence
from datetime import date
from math import hypot
from statistics import fmean

from fleet.register.choices import WorkKind
from inspections.assessment.draft import Draft, not_assessed
from inspections.assessment.known import Known
from inspections.engineering import blocks, evidence
from inspections.engineering.blocks import BlockFacts
from inspections.engineering.groove import bottoming_depth_mm
from inspections.inputs import Snapshot, diameters, worst_clearance
from inspections.inputs.diameters import VisitDiameter
from inspections.inputs.seats import GrooveVisit, groove_visits
from inspections.reasons import Reason, Topic, together

CROWN = Topic.CROWN_HEIGHT
THICKER = Topic.ROPE_THICKER
# By how much a new rope may be thicker than its nominal diameter: EN 12385-5 (from
# memory). A thicker rope stands higher in a V.
_THICKEST = 1.05
_RENEWED = (WorkKind.ROPING, WorkKind.REGROOVING, WorkKind.RIM_RENEWAL)


def findings(known: Known) -> Iterator[Draft]:
    """Yield crowns that rose, clearances that cannot be, and ropes that got thicker.

    Each with the question; one a groove.
    """
    snapshot = known.snapshot
    by_groove = groove_visits(snapshot)
    for row in snapshot.grooves:
        rose = [*_crown(snapshot, by_groove.get(row.pk, ()), row.number, row.pk)]
        yield from rose or _clearance(known, row.number, row.pk)
    series = diameters.by_rope(snapshot)
    for rope in snapshot.ropes:
        yield from _rope(snapshot, series.get(rope.pk, []), rope.number, rope.pk)


def thicker(snapshot: Snapshot, series: Sequence[VisitDiameter]) -> Reason | None:
    """Return what is asked of a rope that got thicker, None where it did not."""
    facts = BlockFacts(diameter_growth_mm=_grew(snapshot, series))
    found = blocks.find(facts=facts, criteria_set=snapshot.criteria)
    return together(block.reason for block in found)


def _grew(snapshot: Snapshot, series: Sequence[VisitDiameter]) -> float:
    """Return by how much a rope got thicker at its last visit [mm], 0 for noise."""
    if len(series) < 2:
        return 0.0
    before, last = series[-2:]
    if _was_renewed(snapshot, before.taken_at.date(), last.taken_at.date()):
        return 0.0
    growth_mm = last.mean_mm - before.mean_mm
    noise_mm = evidence.apart(one_sd=before.sd_mm, other_sd=last.sd_mm)
    return growth_mm if growth_mm > noise_mm else 0.0


def _crown(
    snapshot: Snapshot, visits: Sequence[GrooveVisit], number: int, groove_id: int
) -> Iterator[Draft]:
    read = [visit for visit in visits if visit.pick("rope_crown_height")]
    if len(read) < 2:
        return
    before, last = read[-2:]
    if _was_renewed(snapshot, before.taken_at.date(), last.taken_at.date()):
        return
    heights = [fmean(v.values("rope_crown_height")) for v in (before, last)]
    rise_mm = heights[1] - heights[0]
    sds = [visit.sd("rope_crown_height") for visit in (before, last)]
    if rise_mm <= evidence.apart(one_sd=sds[0], other_sd=sds[1]):
        return
    facts = BlockFacts(crown_rise_mm=rise_mm)
    for block in blocks.find(facts=facts, criteria_set=snapshot.criteria):
        yield not_assessed(
            topic=CROWN,
            place=f"groove {number}",
            groove_id=groove_id,
            reason=block.reason,
            value=rise_mm,
            unit="mm",
            detail={"heights_mm": heights, "sd_mm": hypot(*sds), "block": block.code},
            readings=tuple(r.pk for v in (before, last) for r in v.readings),
        )


def _clearance(known: Known, number: int, groove_id: int) -> Iterator[Draft]:
    """Yield the question where the least clearance read is more than there can be."""
    rope_set, cut = known.snapshot.rope_set, known.groove
    if rope_set is None or cut is None:
        return
    read = worst_clearance(known.snapshot, groove_id=groove_id)
    if read is None:
        return
    thickest_mm = max(
        _THICKEST * rope_set.nominal_diameter_mm, read.rope_diameter_mm or 0.0
    )
    most_mm = bottoming_depth_mm(groove=cut, rope_diameter_mm=thickest_mm)
    if most_mm is None:
        return
    noise_mm = evidence.apart(one_sd=read.sd_mm, other_sd=cut.clearance_sd_mm)
    if read.clearance_mm <= most_mm + noise_mm:
        return
    facts = BlockFacts(clearance_mm=read.clearance_mm, clearance_most_mm=most_mm)
    for block in blocks.find(facts=facts, criteria_set=known.snapshot.criteria):
        yield not_assessed(
            topic=CROWN,
            place=f"groove {number}",
            groove_id=groove_id,
            reason=block.reason,
            value=read.clearance_mm - most_mm,
            unit="mm",
            detail={
                "heights_mm": [most_mm, read.clearance_mm],
                "sd_mm": hypot(read.sd_mm, cut.clearance_sd_mm),
                "block": block.code,
            },
            readings=read.readings,
        )


def _rope(
    snapshot: Snapshot, series: Sequence[VisitDiameter], number: int, rope_id: int
) -> Iterator[Draft]:
    growth_mm = _grew(snapshot, series)
    if growth_mm <= 0.0:
        return
    before, last = series[-2:]
    facts = BlockFacts(diameter_growth_mm=growth_mm)
    for block in blocks.find(facts=facts, criteria_set=snapshot.criteria):
        yield not_assessed(
            topic=THICKER,
            place=f"rope {number}",
            rope_id=rope_id,
            reason=block.reason,
            value=growth_mm,
            unit="mm",
            detail={
                "diameters_mm": [before.mean_mm, last.mean_mm],
                "sd_mm": hypot(before.sd_mm, last.sd_mm),
                "block": block.code,
            },
            readings=(*before.readings, *last.readings),
        )


def _was_renewed(snapshot: Snapshot, after: date, until: date) -> bool:
    """Return whether work explains the change: new ropes or newly cut grooves."""
    return any(
        after <= work.done_on <= until and work.kind in _RENEWED
        for work in snapshot.works
    )
