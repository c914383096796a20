"""What a machine's groove window is looked for with, from what is known of it."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from django.utils.translation import gettext_noop

from fleet.register.choices import Bend
from inspections import inputs
from inspections.assessment import knowing
from inspections.assessment.basis import Basis
from inspections.engineering import criteria, rope, traction
from inspections.engineering.criteria import Family
from inspections.engineering.groove_window import Deflector, Metal, WindowGiven
from inspections.engineering.suspension import Suspension, TractionRules
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot
from inspections.reasons import english
from inspections.scenarios.figures import tried
from inspections.scenarios.problems import NotKnownEnough, NotTried
from inspections.scenarios.seats_read import seats_to_reach

USUAL_MARGIN = 0.05
# Seat of a turned groove over d: Feyrer 2015. Clearance over d: common practice, no
# source.
_SEAT_RATIO, _CLEARANCE_RATIO = 0.53, 0.3
_TWO = 2
_COVERAGE = 2.0


class LeftOut(StrEnum):
    """What could not be demanded, because it is not known."""

    SAFETY_FACTOR = "SAFETY_FACTOR"
    DIAMETER_RATIO = "DIAMETER_RATIO"
    RIM = "RIM"


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedWindow:
    """What is demanded of the grooves; None is as the register has it, or as usual."""

    margin: float = USUAL_MARGIN
    to_depth_mm: float | None = None
    seat_radius_mm: float | None = None
    bottom_clearance_mm: float | None = None
    vee_bottom_width_mm: float | None = None
    vee_slot_depth_mm: float | None = None
    hardened_depth_mm: float = 0.0
    limit_pressure: bool = True


def given_of(
    snapshot: Snapshot, known: Basis, asked: AskedWindow
) -> tuple[WindowGiven, tuple[LeftOut, ...]]:
    """Return what the window is looked for with. Raises NotKnownEnough, NotTried."""
    hung, geometry = known.suspension, snapshot.geometry
    seats = seats_to_reach(snapshot, known.work.seats)
    if hung is None or geometry is None or known.groove is None:
        raise NotKnownEnough(
            gettext_noop("masses, wrap and grooves have to be entered first")
        )
    if not seats:
        raise NotKnownEnough(
            gettext_noop("a cut starts from the deepest seat: read the seats first")
        )
    diameter_mm = hung.rope_diameter_mm
    metal = _metal(known, hung)
    least = _limit(snapshot, "diameter_ratio_least")
    strength = _strength(snapshot, hung)
    lacks = {
        LeftOut.SAFETY_FACTOR: not strength,
        LeftOut.DIAMETER_RATIO: least is None,
        LeftOut.RIM: metal is None,
    }
    try:
        given = WindowGiven(
            suspension=hung,
            rules=_rules(snapshot, known),
            margin=asked.margin,
            deepest_mm=max(0.0, *(seat.depth_mm for seat in seats)),
            seat_radius_mm=asked.seat_radius_mm
            or geometry.seat_radius_mm
            or _SEAT_RATIO * diameter_mm,
            bottom_clearance_mm=asked.bottom_clearance_mm
            or geometry.bottom_clearance_new_mm
            or _CLEARANCE_RATIO * diameter_mm,
            vee_bottom_width_mm=asked.vee_bottom_width_mm
            or geometry.slot_width_mm
            or geometry.flat_bottom_width_mm
            or 0.0,
            vee_slot_depth_mm=asked.vee_slot_depth_mm or geometry.slot_depth_mm or 0.0,
            hardened_depth_mm=asked.hardened_depth_mm,
            to_depth_mm=asked.to_depth_mm,
            limit_pressure=asked.limit_pressure,
            least_ratio=least,
            old_vee_table=snapshot.criteria.code == "EN_81_1_1998",
            metal=metal,
            deflector=_deflector(snapshot),
            pulley_diameters_mm=tuple(p.diameter_mm for p in snapshot.pulleys),
            reverse_bends=sum(p.bend == Bend.REVERSE for p in snapshot.pulleys),
            **strength,
        )
    except OutsideValidity as error:
        raise NotTried(english(error.reason), said=error.reason) from error
    return given, tuple(name for name, is_lacking in lacks.items() if is_lacking)


def _rules(snapshot: Snapshot, known: Basis) -> TractionRules:
    """Return the rules with the braking as hard as it may be, where nobody knows it.

    So no cut is in the window of a machine of which only less is known.
    """
    braking = knowing.braking_of(snapshot)
    if braking is None:
        return known.rules
    return traction.braking_harder(rules=known.rules, retardation_m_s2=braking.high)


def _limit(snapshot: Snapshot, key: str) -> float | None:
    return criteria.lookup(criteria_set=snapshot.criteria, key=key).value


def _strength(snapshot: Snapshot, hung: Suspension) -> dict[str, Any]:
    """Return the breaking force and what is required; empty where either lacks.

    Pulleys of car and counterweight that nobody has registered are no part of it, so
    that a machine roped 2:1 without them is not judged by its strength at all.
    """
    one = tried(lambda: inputs.rope_of(snapshot))
    if one is None or (hung.roping > 1 and not snapshot.pulleys):
        return {}
    by_speed = snapshot.criteria.family is Family.A17
    if by_speed:
        floor = tried(
            lambda: rope.required_a17(rope_speed_m_s=hung.rope_speed_m_s).required
        )
    else:
        ropes = "two" if hung.rope_count == _TWO else "three"
        floor = _limit(snapshot, f"safety_factor_{ropes}_ropes")
    if floor is None:
        return {}
    return {
        "breaking_force_n": one.breaking_force_n,
        "factor_floor": floor,
        "factor_by_speed": by_speed,
    }


def _deflector(snapshot: Snapshot) -> Deflector | None:
    pulley = inputs.deflector_of(snapshot)
    if pulley is None or snapshot.machine.wrap_angle_deg is not None:
        return None
    return Deflector(
        diameter_mm=pulley.diameter_mm,
        offset_x_mm=pulley.offset_x_mm or 0.0,
        drop_h_mm=pulley.drop_h_mm or 0.0,
    )


def _metal(known: Basis, hung: Suspension) -> Metal | None:
    """Return where the underside lies at the thinnest groove; None if not known.

    Under a slot or V the metal was read at a bottom that does not wear; a round groove
    was read at its seat, which has sunk.
    """
    rim, groove, seats = known.work.rim, known.groove, known.work.seats
    if rim is None or rim.minimum_mm is None or groove is None or not rim.grooves:
        return None
    radius_mm = hung.rope_diameter_mm / 2.0
    bottom_mm = tried(lambda: groove.bottoming_mm(rope_radius_mm=radius_mm))
    if groove.has_bottom and bottom_mm is None:
        return None
    own = {seat.groove: seat for seat in seats}
    found = []
    for each in rim.grooves:
        seat = own.get(each.number)
        if each.worst_mm is None or seat is None:
            return None
        sunk_mm = max(seat.depth_mm, 0.0) if not groove.has_bottom else bottom_mm or 0.0
        found.append(each.worst_mm + radius_mm + sunk_mm - _COVERAGE * seat.sd_mm)
    least_mm = min(found)
    return (
        Metal(underside_mm=least_mm, minimum_mm=rim.minimum_mm)
        if least_mm > 0
        else None
    )
