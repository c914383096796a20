"""From a scenario to a regroove order: grooves as tried, the sheave as it stands."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any

from django.utils.translation import gettext_noop

from fleet.platform.database.tenancy import Scope
from inspections.decisions import planned_cut, regroove_order
from inspections.decisions.kinds_of_work import regroove
from inspections.decisions.records import (
    GrooveDrawing,
    MachineFacts,
    OptionKind,
    RegrooveOrder,
    SourcedReason,
    Thresholds,
    sourced,
)
from inspections.engineering.cut import CutPlan
from inspections.inputs import Snapshot
from inspections.json_records import plain
from inspections.models import Grade
from inspections.options import saying
from inspections.options.drawing import drawing_of
from inspections.options.facts import braking_hardest, deflector_of
from inspections.options.live import Live
from inspections.reasons import Code, Reason, Topic, because, from_json
from inspections.scenarios import applying, keeping, words
from inspections.scenarios.changes import Changes, read
from inspections.scenarios.items import ITEMS, Part
from inspections.scenarios.problems import NotKnownEnough, NotTried
from inspections.scenarios.seats_read import seats_to_reach
from inspections.scenarios.sides import Side, side_of

# What other grooves change beside traction.
_HELD_AGAINST = (
    Topic.PRESSURE,
    Topic.SAFETY_FACTOR,
    Topic.DIAMETER_RATIO,
    Topic.NUMBER_OF_ROPES,
    Topic.NOMINAL_DIAMETER,
)
# What an option says of the depth of its own cut.
_OF_CUT = (Code.CUT_DEPTH, Code.CUT_CHANGES_SPEED, Code.CUT_THINNEST)
# What the register's drawing says of grooves; of another cut it says nothing else.
_OF_GROOVES = (
    "groove_angle_deg",
    "undercut_angle_deg",
    "seat_radius_mm",
    "slot_width_mm",
    "slot_depth_mm",
    "slot_taper_deg",
    "flat_bottom_width_mm",
    "bottom_clearance_new_mm",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderAsTried:
    """What an order is drawn up from, with the grooves of a scenario.

    `then` is the machine as changed, whose grooves are drawn; `against` is what lies
    beyond a limit with them beside traction, which the order works out itself;
    `besides` are the changes that no lathe makes and that the cut was tried with.
    """

    facts: MachineFacts
    drawing: GrooveDrawing
    thresholds: Thresholds
    then: Snapshot
    against: tuple[SourcedReason, ...]
    besides: tuple[str, ...]

    def order(self, kind: OptionKind) -> RegrooveOrder:
        """Return the order of a kind of cut."""
        order = regroove_order.draw_up(
            facts=self.facts,
            drawing=self.drawing,
            thresholds=self.thresholds,
            kind=kind,
        )
        if not self.against:
            return order
        because_of = (*self.against, *order.because)
        return replace(order, may_be_placed=False, because=because_of)

    def pointless(self, option: Mapping[str, Any]) -> tuple[Reason, ...]:
        """Return why the cut would not help, as the option says it of its own cut.

        Whether another cut is left after it is asked of the cut as tried.
        """
        of_option = saying.reasons_of(option, "pointless_because")
        own = regroove.last_cut(plan=self.plan(), thresholds=self.thresholds)
        return (
            *(each for each in of_option if each.code is not Code.CUT_IS_LAST),
            *(each.said for each in own),
        )

    def option(self, option: Mapping[str, Any]) -> dict[str, Any]:
        """Return an option with the cut as tried in the place of its own.

        What is kept with the work is what is ordered, and what is found at its end is
        held against it. Its traction stands in the order and in the scenario.
        """
        plan = self.plan()
        if plan is None:
            return dict(option)
        hung = self.facts.suspension
        own = saying.reasons(regroove.says(plan=plan, thresholds=self.thresholds))
        others = [
            each
            for each in option["reasons"]
            if (said := from_json(each["said"])) is None or said.code not in _OF_CUT
        ]
        return {
            **option,
            "cut": plain(plan),
            "margins": [],
            "pitch_diameter_after_mm": plan.pitch_diameter_mm,
            "diameter_ratio_after": plan.diameter_ratio,
            "speed_ratio_after": plan.speed_ratio,
            "speed_after_m_s": (
                hung.rated_speed_m_s * plan.speed_ratio if hung else None
            ),
            "reasons": [*own, *others],
        }

    def plan(self) -> CutPlan | None:
        """Return the cut that is planned; None where it cannot be."""
        planned = planned_cut.plan(facts=self.facts, thresholds=self.thresholds)
        return planned.plan


def order_as_tried(
    *,
    scope: Scope,
    machine_id: int,
    changes: Mapping[str, Any],
    known: Live,
    now: datetime,
) -> OrderAsTried:
    """Return it for the machine as known now. Raises as a scenario does.

    Raises NotFound, NotTried, and NotKnownEnough, where the changes cut no groove of
    this sheave too.
    """
    snapshot = keeping.snapshot_of(scope=scope, machine_id=machine_id, now=now)
    return as_tried(snapshot, read(changes), known=known)


def as_tried(snapshot: Snapshot, changes: Changes, *, known: Live) -> OrderAsTried:
    """Return it for a snapshot. Raises NotTried and NotKnownEnough."""
    if not changes.of(Part.GROOVES) or changes.of(Part.SHEAVE):
        raise NotKnownEnough(
            gettext_noop("the scenario cuts no groove of the sheave that is fitted")
        )
    seats = seats_to_reach(snapshot, known.facts.seats)
    then = applying.apply(snapshot, changes, seats=seats).snapshot
    side = side_of(then)
    return OrderAsTried(
        facts=_facts(known.facts, side, changes),
        against=tuple(_against(side, known.facts)),
        drawing=_drawing(known.drawing, drawing_of(then), changes),
        thresholds=_thresholds(known.terms.thresholds, changes),
        then=then,
        besides=tuple(
            words.change(name, value)
            for name, value in changes.pairs
            if ITEMS[name].part is not Part.GROOVES
        ),
    )


def _against(then: Side, now: MachineFacts) -> Iterator[SourcedReason]:
    """Yield what other grooves are beyond, or no longer known to be within."""
    judged = {each.topic for each in now.findings if each.grade != Grade.NOT_ASSESSED}
    found = [
        draft
        for draft in then.drafts
        if draft.topic in _HELD_AGAINST
        and (
            draft.grade in (Grade.ACT_NOW, Grade.PLAN_WORK)
            or (draft.grade == Grade.NOT_ASSESSED and str(draft.topic) in judged)
        )
    ]
    if found:
        matters = tuple(because(Code.MATTER, topic=draft.topic) for draft in found)
        sources = dict.fromkeys(draft.source for draft in found if draft.source)
        yield sourced(
            Code.TRIED_BEYOND, *sources, matters=tuple(dict.fromkeys(matters))
        )


def _facts(now: MachineFacts, side: Side, changes: Changes) -> MachineFacts:
    """Return the sheave and seats as they stand, hung and grooved as tried.

    No margin of the machine as it is counts for other grooves: all are worked out.
    """
    then, known = side.snapshot, side.basis
    sheave = now.sheave
    if sheave is not None and known.work.sheave is not None:
        sheave = replace(
            sheave,
            form=known.work.sheave.form,
            rehardened_after=bool(changes.number("hardened_depth_mm")),
        )
    ropes = then.rope_set
    return replace(
        now,
        sheave=sheave,
        rope_diameter_mm=ropes.nominal_diameter_mm if ropes else None,
        rope_count=ropes.ropes_count if ropes else None,
        suspension=known.suspension,
        groove=known.groove,
        traction_rules=known.rules,
        braking_hardest=braking_hardest(then),
        deflector=deflector_of(then),
        margins=(),
    )


def _drawing(
    now: GrooveDrawing, then: GrooveDrawing, changes: Changes
) -> GrooveDrawing:
    layer = changes.number("hardened_depth_mm")
    return replace(
        now,
        **{name: getattr(then, name) for name in _OF_GROOVES},
        hardened_depth_mm=layer or None,
        tried=_tried(changes),
    )


def _tried(changes: Changes) -> tuple[str, ...]:
    ropes = ("rope_diameter_mm",) if changes.touches("rope_diameter_mm") else ()
    return (*changes.of(Part.GROOVES), *ropes)


def _thresholds(now: Thresholds, changes: Changes) -> Thresholds:
    """Return the contractor's own, with the depth of the cut as it was tried."""
    depth = changes.number("cut_depth_mm")
    if depth is None:
        return now
    named = now.row("clean_up_mm")
    if not named.low <= depth <= named.high:
        raise NotTried(
            gettext_noop(
                "a cut of %(depth)s mm below the deepest seat is not ordered: from "
                "%(low)s to %(high)s mm"
            ),
            pointer="/changes/cut_depth_mm",
            depth=f"{depth:g}",
            low=f"{named.low:g}",
            high=f"{named.high:g}",
        )
    rows = (replace(row, value=depth) if row is named else row for row in now.rows)
    return Thresholds(rows=tuple(rows))
