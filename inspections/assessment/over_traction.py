"""Traction over what is not known exactly of register and seat, shared by grooves."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import fields, replace
from math import inf, radians
from typing import Any

from fleet.register.choices import StalledDrive
from inspections.assessment import over as overs
from inspections.assessment.known import Known
from inspections.assessment.over import Assumed, Over
from inspections.engineering.answer import Answer, Axis, Joint
from inspections.engineering.answer.axis import COVERAGE, from_spread
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.groove.undercut import GREATEST_UNDERCUT_RAD
from inspections.engineering.groove.vee import SMALLEST_V_ANGLE_RAD
from inspections.engineering.suspension import Suspension, usual_spread
from inspections.engineering.traction_answer import (
    SEAT_DEPTH,
    WRAP,
    AskedFriction,
    GrooveCorners,
    answer_traction,
)

Overs = Mapping[str, Over]
# Of a value that was entered as assumed, against a usual one; our rule.
SPREAD_OF_ASSUMED = 2.0
# What the method holds for, of what it does not hold for everywhere.
_METHOD = {
    "groove_angle_rad": (SMALLEST_V_ANGLE_RAD, inf),
    "undercut_angle_rad": (0.0, GREATEST_UNDERCUT_RAD),
    "balance_ratio": (0.0, 1.0),
}
# Beside the load cases: all of them together, where only together none will do.
TOGETHER = "ALL_CASES"


def answers(
    known: Known, *, depths: tuple[float, ...], common: Mapping[str, Any]
) -> Overs:
    """Return each load case of one groove, or pair, over what is not known.

    Most machines hold whatever is not known: then one look over all seats of the
    machine answers for each of them, and its ends are those of the whole machine.
    """
    sd_mm = float(common["detail"]["seat_depth_sd_mm"])
    whole = known.snapshot.once("answers of all seats", lambda: _of_all_seats(known))
    if whole and all(each.answer is Answer.WITHIN for each in whole.values()):
        return whole
    name = f"answers of {depths} {sd_mm}"
    return known.snapshot.once(name, lambda: _answers(known, depths, (sd_mm, sd_mm)))


def closes_together_as_new(known: Known, *, passes: int) -> bool:
    """Return whether some values of what is not known let all cases close as new."""
    found = known.snapshot.once(
        "answers as new", lambda: _answers(known, (0.0,) * passes, (0.0, 0.0))
    )
    beyond = [name for name, over in found.items() if over.answer is Answer.BEYOND]
    stalls = bool(known.suspension and known.suspension.drive_stalls)
    return all(name.startswith("STALLED") and stalls for name in beyond)


def together(found: Overs, cases: Sequence[str]) -> Over | None:
    """Return several cases as one: the worst of them counts."""
    own = [found[case] for case in cases if case in found]
    if not own:
        return None
    worst = max(own, key=lambda over: over.chance or 0.0)
    answered = {over.answer for over in own}
    answer = next(
        each for each in (Answer.BEYOND, Answer.OPEN, Answer.WITHIN) if each in answered
    )
    return Over(
        answer=answer,
        worst=_least(over.worst for over in own),
        typical=_least(over.typical for over in own),
        best=_least(over.best for over in own),
        chance=worst.chance,
        decides=worst.decides,
        unknowns=worst.unknowns,
    )


def _least(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return min(known, default=None)


def _of_all_seats(known: Known) -> Overs:
    """Return the answers over every depth between the shallowest and deepest seat."""
    hung = known.suspension
    if hung is None or len(hung.wrap.angles_rad) > 1 or not known.worst:
        return {}
    ends = list(known.worst.values())
    deepest = max(ends, key=lambda end: end.seat.sunk_mm + 2.0 * end.whole_sd_mm)
    lowest = min(end.seat.sunk_mm - 2.0 * end.whole_sd_mm for end in ends)
    below = (deepest.seat.sunk_mm - lowest) / 2.0
    return _answers(known, (deepest.seat.sunk_mm,), (below, deepest.whole_sd_mm))


def _answers(
    known: Known, depths: tuple[float, ...], sd_mm: tuple[float, float]
) -> Overs:
    hung, cut = known.suspension, known.groove
    if hung is None or cut is None:
        return {}
    axes = known.snapshot.once("traction axes", lambda: _axes(known))
    asked = known.snapshot.once(
        "asked friction",
        lambda: AskedFriction(suspension=hung, rules=known.rules, axes=axes),
    )
    depth_mm = max(depths)
    seat = Axis(
        name=SEAT_DEPTH,
        low=max(depth_mm - 2.0 * sd_mm[0], 0.0),
        typical=depth_mm,
        high=depth_mm + 2.0 * sd_mm[1],
    )
    found = answer_traction(
        # Stalled cases of a drive that nobody knows are told apart.
        suspension=replace(hung, drive_stalls=True) if _is_unknown(known) else hung,
        groove=cut,
        seat_depths_mm=depths,
        rules=known.rules,
        axes=(*axes, seat),
        asked=asked,
        corners=_corners(known, cut, hung.rope_diameter_mm),
        # A depth may be a stray: what it would gain is never counted.
        bedding_counts=False,
    )
    unknown = tuple(
        overs.assumed_by_table(axis)
        if axis.name in known.assumed
        else overs.assumed(axis)
        for axis in (*axes, seat)
        if not axis.is_known
    )
    each = {box.criterion: overs.of_box(box, unknown=unknown) for box in found.cases}
    singly = [each[name].answer for name in found.joint_of]
    if found.joint.answer is Answer.BEYOND and Answer.BEYOND not in singly:
        each[TOGETHER] = _jointly(each, found.joint, unknown)
    return each


def _corners(known: Known, cut: TurnedGroove, rope_diameter_mm: float) -> GrooveCorners:
    """Return the groove at the ends of what is not known, the same for all its seats.

    What is not known of it is the same for each of them too.
    """
    made: dict[tuple[TurnedGroove, float], GrooveCorners]
    made = known.snapshot.once("groove corners", dict)
    key = (cut, rope_diameter_mm)
    if key not in made:
        made[key] = GrooveCorners(groove=cut, rope_diameter_mm=rope_diameter_mm)
    return made[key]


def _jointly(each: Overs, joint: Joint, unknown: tuple[Assumed, ...]) -> Over:
    likeliest = max(each.values(), key=lambda over: over.chance or 0.0)
    return Over(
        answer=Answer.BEYOND,
        best=joint.least_margin,
        chance=1.0,
        decides=likeliest.decides,
        unknowns=unknown,
    )


def _is_unknown(known: Known) -> bool:
    return known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN


def _as_unsure(axis: Axis, hung: Suspension, said: Mapping[str, float]) -> Axis:
    """Return a range that holds those of all values in it, as they would be entered.

    What was said once may have been entered as assumed.
    """
    there = {item.name for item in fields(hung)}

    def off(end: float) -> float:
        changed: dict[str, Any] = {axis.name: end} if axis.name in there else {}
        at = replace(hung, **changed)
        return COVERAGE * float(getattr(usual_spread(suspension=at), axis.name, 0.0))

    ends = [axis.low - off(axis.low), axis.high + off(axis.high)]
    once = said.get(axis.name.replace("_rad", "_deg"))
    if once is not None:
        once = radians(once) if axis.name.endswith("_rad") else once
        more = SPREAD_OF_ASSUMED * off(once)
        ends += [once - more, once + more]
    return _within_method(replace(axis, low=min(ends), high=max(ends)), axis)


def _within_method(wide: Axis, known: Axis) -> Axis:
    """Return a range no further than the method holds, but as far as what is known."""
    least, most = _METHOD.get(wide.name, (0.0, inf))
    return replace(
        wide,
        low=min(max(wide.low, least), known.low),
        high=max(min(wide.high, most), known.high),
    )


def _axes(known: Known) -> tuple[Axis, ...]:
    """Return the register's items, each within two standard deviations or its range."""
    hung, cut, spread = known.suspension, known.groove, known.spread
    if hung is None or cut is None or spread is None:
        return ()
    found = list(known.assumed.values())
    if known.not_registered:
        said = known.snapshot.once_said
        found = [_as_unsure(axis, hung, said) for axis in found]
    for item in fields(spread):
        if item.name in known.assumed:
            continue
        sd = float(getattr(spread, item.name))
        value = hung.wrap.total_rad if item.name == WRAP else None
        if value is None:
            value = getattr(hung, item.name, None) or getattr(cut, item.name, None)
        if value is not None and sd > 0.0:
            wide = from_spread(name=item.name, value=float(value), sd=sd)
            exact = replace(wide, low=wide.typical, high=wide.typical)
            found.append(_within_method(wide, exact))
    return tuple(found)
