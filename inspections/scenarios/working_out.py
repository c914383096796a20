"""Work a scenario out: the machine as known and as it would be, side by side.

A pure activity over the snapshot: it reads no row and writes none, so that nothing of
a scenario can enter findings, dates or documents of the machine as it is.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from inspections.assessment.draft import Draft
from inspections.decisions.records import Rates
from inspections.engineering import cut
from inspections.engineering.answer import Answer
from inspections.engineering.cut import CutPlan, SeatAt
from inspections.engineering.rim import RimMetal
from inspections.engineering.rope import endurance
from inspections.engineering.traction_course import TractionCourse
from inspections.engineering.validity import OutsideValidity
from inspections.engineering.verdict import Verdict
from inspections.engineering.wear_scaling import WearScale
from inspections.inputs import Snapshot
from inspections.models import Grade
from inspections.reasons import Topic
from inspections.scenarios import (
    after_work,
    applying,
    costs,
    dating,
    friction,
    makers_limits,
    side_by_side,
)
from inspections.scenarios.after_work import AfterWork
from inspections.scenarios.applying import Tried
from inspections.scenarios.changes import Changes
from inspections.scenarios.costs import ScenarioCost
from inspections.scenarios.dating import DatesOfPlace, StandingForecast
from inspections.scenarios.figures import Figures
from inspections.scenarios.friction import TestedFriction
from inspections.scenarios.makers_limits import LimitRow
from inspections.scenarios.notes import Note
from inspections.scenarios.seats_read import seats_to_reach
from inspections.scenarios.side_by_side import ComparedRow
from inspections.scenarios.sides import Side, side_of

_NO_RIM = RimMetal(grooves=(), thinnest=None, minimum_mm=None, missing=(), cautions=())


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkedScenario:
    """What a scenario says.

    `life_ratio` is how many times the trips of now the ropes would make, `speed_ratio`
    how fast the car would run against now with the motor as it turns. `decides` are
    the unknowns whose measurement would settle most, the first one first.
    """

    changes: Changes
    notes: tuple[Note, ...]
    rows: tuple[ComparedRow, ...]
    now: Figures
    then: Figures
    course_now: TractionCourse | None
    course_then: TractionCourse | None
    life_ratio: float | None
    speed_ratio: float | None
    cut: CutPlan | None
    decides: tuple[str, ...]
    wear_scale: WearScale | None
    dates: tuple[DatesOfPlace, ...]
    friction: TestedFriction | None
    limits: tuple[LimitRow, ...]
    after: AfterWork
    cost: ScenarioCost


def work_out(
    snapshot: Snapshot,
    changes: Changes,
    *,
    standing: tuple[StandingForecast, ...] = (),
    rates: Rates | None = None,
) -> WorkedScenario:
    """Return the machine as known and as changed. Raises NotTried, NotKnownEnough.

    `standing` are the forecasts of its seats that are moved with it, `rates` what work
    costs this contractor.
    """
    now = side_of(snapshot)
    seats = seats_to_reach(snapshot, now.basis.work.seats)
    tried = applying.apply(snapshot, changes, seats=seats)
    then = now if tried.snapshot is snapshot else side_of(tried.snapshot)
    planned = _cut(now, tried, seats)
    speed = _speed_ratio(now, then)
    scale = dating.scale_of(now, then)
    return WorkedScenario(
        changes=changes,
        notes=tuple(dict.fromkeys(_notes(tried, now, then, planned, speed))),
        rows=side_by_side.rows(now.drafts, then.drafts),
        now=now.figures,
        then=then.figures,
        course_now=now.course,
        course_then=then.course,
        life_ratio=_life_ratio(now, then),
        speed_ratio=speed,
        cut=planned,
        decides=_decides(then.drafts),
        friction=friction.learnt_from(now, then),
        limits=tuple(makers_limits.rows(now, then)),
        after=after_work.after(now, then, changes),
        cost=costs.cost_of(then.snapshot, changes, rates or Rates()),
        wear_scale=scale,
        dates=tuple(
            dating.dates(
                standing,
                limits=then.limits,
                scale=scale,
                is_cut=tried.is_cut,
                today=applying.day_of(snapshot),
            )
        ),
    )


def _notes(
    tried: Tried, now: Side, then: Side, planned: CutPlan | None, speed: float | None
) -> Iterator[Note]:
    yield from tried.notes
    if tried.is_cut and _is_soft_vee(then):
        yield Note.SOFT_VEE
    if then.figures.between_least_n is not None:
        yield Note.BETWEEN_THE_WHEELS
    if then.course is None:
        yield Note.NOT_WORKED_OUT
    if tried.clean_up_mm is not None and planned is None:
        yield Note.CUT_NOT_PLANNED
    if any(_is_wet(draft) for draft in now.drafts):
        yield Note.ROPES_OILED
    if dating.is_softer(now.snapshot, then.snapshot):
        yield Note.SOFTER
    if speed is not None and abs(speed - 1.0) > 1e-9:
        yield Note.SPEED_SET_AGAIN


def _is_wet(draft: Draft) -> bool:
    return draft.topic == Topic.WETNESS and draft.grade not in (
        Grade.IN_ORDER,
        Grade.NOT_ASSESSED,
    )


def _is_soft_vee(side: Side) -> bool:
    groove = side.basis.groove
    if groove is None or not groove.must_be_hardened:
        return False
    return groove.hardened_depth_mm <= 0.0


def _life_ratio(now: Side, then: Side) -> float | None:
    if now.bending is None or then.bending is None:
        return None
    try:
        return endurance.relative_endurance(before=now.bending, after=then.bending)
    except OutsideValidity:
        return None


def _speed_ratio(now: Side, then: Side) -> float | None:
    """Return the car's speed against now: the motor turns the sheave as before."""
    before, after = now.basis.suspension, then.basis.suspension
    if before is None or after is None:
        return None
    wheel = after.sheave_diameter_mm / before.sheave_diameter_mm
    return wheel * before.roping / after.roping


def _cut(now: Side, tried: Tried, seats: tuple[SeatAt, ...]) -> CutPlan | None:
    """Return what the rim keeps of a cut; None where none is made, or too little known.

    A seat of another form lies in the old one: it is cut as deep as asked for below
    the deepest seat there is, and the bottom goes down with it.
    """
    known, rope_set = now.basis.work, now.snapshot.rope_set
    if tried.clean_up_mm is None or known.sheave is None or rope_set is None:
        return None
    try:
        return cut.plan(
            sheave=known.sheave,
            seats=seats,
            rim=known.rim or _NO_RIM,
            clean_up_mm=tried.clean_up_mm,
            rope_diameter_mm=rope_set.nominal_diameter_mm,
            proof=known.proof,
            criteria_set=now.snapshot.criteria,
            judge_after=_nothing,
        )
    except OutsideValidity:
        return None


def _nothing(diameter_mm: float) -> tuple[Verdict, ...]:
    """Traction after the cut stands beside the plan, case by case."""
    return ()


def _decides(drafts: tuple[Draft, ...]) -> tuple[str, ...]:
    """Return the unknowns that open findings hang on, the likeliest beyond first."""
    is_open = [
        draft
        for draft in drafts
        if draft.over and draft.answer == Answer.OPEN and draft.over.decides
    ]
    is_open.sort(key=lambda draft: -((draft.over and draft.over.chance) or 0.0))
    return tuple(dict.fromkeys(draft.over.decides for draft in is_open if draft.over))
