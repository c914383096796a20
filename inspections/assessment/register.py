"""What was weighed or measured on site against what the register says."""

from dataclasses import replace
from math import degrees

from inspections.assessment.draft import Draft
from inspections.engineering import suspension, wrap
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import (
    RegisterSpread,
    Suspension,
    TractionRules,
)
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot, is_unconfirmed
from inspections.models import Grade, Reading
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because, english

REGISTER = Topic.REGISTER
# Further apart than this many standard deviations of the register; our rule.
DIFFERS_SD = 2.0


def worse_of(
    snapshot: Snapshot,
    *,
    groove: TurnedGroove,
    hung: Suspension,
    spread: RegisterSpread,
    rules: TractionRules,
    depth_mm: float,
) -> tuple[Suspension, tuple[Draft, ...]]:
    """Return the masses and wrap to judge with, and the findings on differences.

    Where a reading says otherwise than the register, the one with the smaller
    margin is taken until somebody enters which is right.

    Raises OutsideValidity for a machine that cannot be.
    """
    used, drafts = hung, []
    for look in (_car, _balance, _wrap):
        found = look(snapshot, used, spread)
        if found is None:
            continue
        other, readings, differs = found
        pair = (used, other)
        margins = [
            _least_margin(each, groove=groove, rules=rules, depth_mm=depth_mm)
            for each in pair
        ]
        worse = other if margins[1] < margins[0] else used
        taken = Term.BY_READING if worse is other else Term.BY_REGISTER
        drafts.append(
            Draft(
                topic=REGISTER,
                grade=Grade.KEEP_AN_EYE_ON,
                rule=Term.AGREES_WITH_REGISTER,
                source="rule of this program, no source: twice the register's own "
                "standard deviation",
                how_sure=Certainty.COMMON_PRACTICE,
                reason=differs.with_also(because(Code.SMALLER_MARGIN_USED, used=taken)),
                readings=tuple(r.pk for r in readings),
                unconfirmed=any(is_unconfirmed(r) for r in readings),
                detail={"least_margins": margins, "used": english(taken)},
            )
        )
        used = worse
    return used, tuple(drafts)


def _least_margin(
    hung: Suspension, *, groove: TurnedGroove, rules: TractionRules, depth_mm: float
) -> float:
    found = suspension.assess_groove(
        suspension=hung,
        groove=groove,
        seat_depths_mm=(depth_mm,) * len(hung.wrap.angles_rad),
        seat_depth_sd_mm=0.0,
        rules=rules,
    )
    return min(
        (case.margin for case in found.cases if not case.accepted_otherwise),
        default=0.0,
    )


Other = tuple[Suspension, tuple[Reading, ...], Reason]


def _car(snapshot: Snapshot, hung: Suspension, spread: RegisterSpread) -> Other | None:
    last = snapshot.latest("car_mass")
    if last is None or last.value is None:
        return None
    if abs(last.value - hung.car_mass_kg) <= DIFFERS_SD * spread.car_mass_kg:
        return None
    differs = because(
        Code.CAR_MASS_DIFFERS,
        read=Quantity(last.value, "kg"),
        registered=Quantity(hung.car_mass_kg, "kg"),
    )
    return replace(hung, car_mass_kg=last.value), (last,), differs


def _balance(
    snapshot: Snapshot, hung: Suspension, spread: RegisterSpread
) -> Other | None:
    last = snapshot.latest("balance_load")
    if last is None or last.value is None:
        return None
    read_kg = hung.car_mass_kg + last.value * hung.rated_load_kg
    weighed = hung.counterweight_mass_kg
    allowed_kg = (
        spread.balance_ratio * hung.rated_load_kg
        if weighed is None
        else spread.counterweight_mass_kg
    )
    if abs(read_kg - hung.balancing_mass_kg) <= DIFFERS_SD * allowed_kg:
        return None
    differs = because(
        Code.BALANCE_DIFFERS,
        balance=100.0 * last.value,
        read=Quantity(read_kg, "kg"),
        registered=Quantity(hung.balancing_mass_kg, "kg"),
    )
    if weighed is None:
        return replace(hung, balance_ratio=last.value), (last,), differs
    return replace(hung, counterweight_mass_kg=read_kg), (last,), differs


def _wrap(snapshot: Snapshot, hung: Suspension, spread: RegisterSpread) -> Other | None:
    across = snapshot.latest("wrap_offset_x")
    down = snapshot.latest("wrap_drop_h")
    pulley = next((p for p in snapshot.pulleys if p.offset_x_mm is not None), None)
    if across is None or down is None or pulley is None:
        return None
    try:
        read = wrap.wrap_from_geometry(
            sheave_diameter_mm=hung.sheave_diameter_mm,
            pulley_diameter_mm=pulley.diameter_mm,
            offset_x_mm=across.value or 0.0,
            drop_h_mm=down.value or 0.0,
            double=len(hung.wrap.angles_rad) > 1,
        )
    except OutsideValidity:
        return None
    change = read.total_rad - hung.wrap.total_rad
    if abs(change) <= DIFFERS_SD * spread.wrap_angle_rad:
        return None
    differs = because(
        Code.WRAP_DIFFERS,
        read=degrees(read.total_rad),
        registered=degrees(hung.wrap.total_rad),
    )
    return replace(hung, wrap=read), (across, down), differs
