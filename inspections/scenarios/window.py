"""The groove window of one machine, and the middle that is suggested."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Any

from inspections.assessment import basis, knowing
from inspections.assessment.basis import Basis
from inspections.assessment.draft import Draft
from inspections.engineering.groove import KnownForm
from inspections.engineering.groove_window import (
    Cut,
    Grid,
    GrooveWindow,
    JudgedCut,
    WindowGiven,
    find_window,
    usual_grid,
)
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot
from inspections.reasons import Topic, english
from inspections.scenarios import applying, changes, openings
from inspections.scenarios.openings import ScenarioOpening
from inspections.scenarios.problems import NotKnownEnough
from inspections.scenarios.seats_read import seats_to_reach
from inspections.scenarios.sides import side_of
from inspections.scenarios.window_given import AskedWindow, LeftOut, given_of

_TRACTION = (Topic.TRACTION, Topic.TRACTION_OF_CASE, Topic.TRACTION_STALLED)


@dataclass(frozen=True, slots=True, kw_only=True)
class MiddleEnds:
    """A margin over what is not known of the machine, at the least of its cases."""

    worst: float | None
    typical: float | None
    best: float | None
    chance: float | None
    decides: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """The window, what was demanded, and what would open it where it is empty.

    `middle_changes` is the suggested middle as a scenario, `middle_ends` its traction
    over what is not known.
    """

    given: WindowGiven
    window: GrooveWindow
    left_out: tuple[LeftOut, ...]
    openings: tuple[tuple[ScenarioOpening, Cut], ...]
    middle_changes: Mapping[str, Any]
    middle_ends: MiddleEnds | None


def look(snapshot: Snapshot, asked: AskedWindow, *, grid: Grid | None = None) -> Looked:
    """Return every cut with which the machine holds. Raises NotKnownEnough, NotTried.

    Nothing of it enters findings, dates or documents.
    """
    known = basis.of_known(knowing.know(snapshot, with_limits=False))
    given, left_out = given_of(snapshot, known, asked)
    grid = grid or usual_grid()
    try:
        window = find_window(given=given, grid=grid)
    except OutsideValidity as error:
        raise NotKnownEnough(english(error.reason), said=error.reason) from error
    middle = window.middle
    changed = _as_changes(given, middle) if middle else {}
    return Looked(
        given=given,
        window=window,
        left_out=left_out,
        openings=() if middle else tuple(openings.openings(given, grid)),
        middle_changes=changed,
        middle_ends=_ends(snapshot, known, changed) if middle else None,
    )


def _as_changes(given: WindowGiven, middle: JudgedCut) -> dict[str, Any]:
    """Return a cut of the window as the changes of a scenario."""
    cut = middle.cut
    found: dict[str, Any] = {
        "groove_form": cut.form.name,
        "groove_angle_deg": cut.groove_angle_deg,
        "cut_depth_mm": cut.cut_depth_mm,
        "hardened_depth_mm": given.hardened_depth_mm,
    }
    if cut.form is KnownForm.V:
        if given.vee_slot_depth_mm > 0.0:
            found["slot_width_mm"] = given.vee_bottom_width_mm
            found["slot_depth_mm"] = given.vee_slot_depth_mm
        elif given.vee_bottom_width_mm > 0.0:
            found["flat_bottom_width_mm"] = given.vee_bottom_width_mm
        return found
    found["seat_radius_mm"] = given.seat_radius_mm
    if cut.form is KnownForm.UNDERCUT:
        found["undercut_angle_deg"] = cut.undercut_angle_deg
        found["bottom_clearance_mm"] = given.bottom_clearance_mm
    return found


def _ends(
    snapshot: Snapshot, known: Basis, changed: Mapping[str, Any]
) -> MiddleEnds | None:
    """Return the traction of the middle over what is not known of the machine."""
    seats = seats_to_reach(snapshot, known.work.seats)
    there = applying.apply(snapshot, changes.read(changed), seats=seats)
    drafts = [
        draft
        for draft in side_of(there.snapshot).drafts
        if draft.topic in _TRACTION and draft.over
    ]
    if not drafts:
        return None
    over = min(drafts, key=_worst).over
    if over is None:
        return None
    chances = [d.over.chance for d in drafts if d.over and d.over.chance is not None]
    return MiddleEnds(
        worst=over.worst,
        typical=over.typical,
        best=over.best,
        chance=max(chances, default=None),
        decides=over.decides,
    )


def _worst(draft: Draft) -> float:
    worst = draft.over.worst if draft.over else None
    # An end that is not bounded is the worst there is.
    return worst if worst is not None else -inf
