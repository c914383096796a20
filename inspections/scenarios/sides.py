"""One side of the comparison: the machine as known, or as it would be."""

from dataclasses import dataclass

from inspections.assessment import basis
from inspections.assessment.assessing import judge
from inspections.assessment.basis import Basis
from inspections.assessment.draft import Draft, LimitDraft
from inspections.engineering import traction_course
from inspections.engineering.rope.endurance import Bending
from inspections.engineering.traction_course import TractionCourse
from inspections.inputs import Snapshot
from inspections.scenarios.figures import Figures, figures_of, tried


@dataclass(frozen=True, slots=True, kw_only=True)
class Side:
    """What is said of the machine, and the numbers behind it."""

    snapshot: Snapshot
    drafts: tuple[Draft, ...]
    limits: tuple[LimitDraft, ...]
    basis: Basis
    figures: Figures
    bending: Bending | None
    course: TractionCourse | None


def side_of(snapshot: Snapshot) -> Side:
    """Return one side; the machine is judged by the same rules as ever."""
    drafts, limits, shared = judge(snapshot)
    known = basis.from_shared(shared) or basis.of_snapshot(snapshot)
    figures, bending = figures_of(snapshot, drafts, known)
    return Side(
        snapshot=snapshot,
        drafts=tuple(drafts),
        limits=tuple(limits),
        basis=known,
        figures=figures,
        bending=bending,
        course=_course(known),
    )


def _course(known: Basis) -> TractionCourse | None:
    hung, groove = known.suspension, known.groove
    if hung is None or groove is None:
        return None
    return tried(
        lambda: traction_course.traction_course(
            suspension=hung, groove=groove, rules=known.rules
        )
    )
