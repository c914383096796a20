"""What was weighed or measured on site against what the register says."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import degrees, inf, isinf

from inspections.assessment import margins
from inspections.assessment.draft import Draft, not_assessed
from inspections.engineering import wrap
from inspections.engineering.case_result import CaseResult
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

Other = tuple[Suspension, tuple[Reading, ...], Reason]
Look = Callable[[Suspension], Other | None]


def may_be(
    snapshot: Snapshot,
    *,
    groove: TurnedGroove,
    hung: Suspension,
    spread: RegisterSpread,
    rules: TractionRules,
    depth_mm: float,
) -> tuple[tuple[Suspension, ...], tuple[Draft, ...]]:
    """Return the masses and wraps that may be, and the findings on differences.

    Where readings say otherwise than the register, each may be right until somebody
    enters which is. The one with the smallest margin comes first.
    """

    def least(each: Suspension) -> float:
        try:
            return margins.least_of(
                each, groove=groove, rules=rules, depth_mm=depth_mm, counts=_counts
            )
        except OutsideValidity:
            # Told where it is judged; the others are judged all the same.
            return inf

    looks = tuple(partial(each, snapshot, spread=spread) for each in _LOOKS)
    return _may_be(looks, hung, least)


def _may_be(
    looks: tuple[Look, ...], hung: Suspension, least: Callable[[Suspension], float]
) -> tuple[tuple[Suspension, ...], tuple[Draft, ...]]:
    """Return what this look and those after it leave open, the worst first."""
    if not looks:
        return (hung,), ()
    look, *later = looks
    kept = _may_be(tuple(later), hung, least)
    try:
        found = look(hung)
    except OutsideValidity as error:
        # What cannot be takes nothing away from what the register says.
        cannot = not_assessed(topic=REGISTER, reason=error.reason)
        return kept[0], (cannot, *kept[1])
    if found is None:
        return kept
    other, readings, differs = found
    read = _may_be(tuple(later), other, least)
    ends = [least(each[0]) for each, _ in (kept, read)]
    first, second = (read, kept) if ends[1] < ends[0] else (kept, read)
    taken = Term.BY_READING if first is read else Term.BY_REGISTER
    draft = Draft(
        topic=REGISTER,
        grade=Grade.KEEP_AN_EYE_ON,
        rule=Term.AGREES_WITH_REGISTER,
        source="rule of this program, no source: twice the register's own "
        "standard deviation",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=differs.with_also(because(Code.SMALLER_MARGIN_USED, used=taken)),
        readings=tuple(r.pk for r in readings),
        unconfirmed=any(is_unconfirmed(r) for r in readings),
        detail={
            "least_margins": [None if isinf(each) else each for each in ends],
            "used": english(taken),
        },
    )
    return (*first[0], *second[0]), (draft, *first[1])


def heaviest(
    snapshot: Snapshot, *, hung: Suspension, spread: RegisterSpread
) -> tuple[float, tuple[int, ...]]:
    """Return the heavier empty car of register and reading [kg], and that reading.

    What only weight makes worse is judged with it, whichever gives less traction.
    """
    found = _car(snapshot, hung, spread=spread)
    if found is None or found[0].car_mass_kg <= hung.car_mass_kg:
        return hung.car_mass_kg, ()
    other, readings, _ = found
    return other.car_mass_kg, tuple(each.pk for each in readings)


def _counts(case: CaseResult) -> bool:
    return not case.accepted_otherwise


def _car(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
) -> Other | None:
    last = snapshot.latest("car_mass")
    if last is None or last.value is None:
        return None
    if abs(last.value - hung.car_mass_kg) <= DIFFERS_SD * spread.car_mass_kg:
        return None
    differs = because(
        Code.CAR_MASS_DIFFERS,
        read=Quantity(last.value, "kg"),
        registered=Quantity(hung.car_mass_kg, "kg"),
    ).with_also(because(Code.HEAVIER_CAR_CARRIED))
    return replace(hung, car_mass_kg=last.value), (last,), differs


def _balance(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
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


def _wrap(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
) -> Other | None:
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


_LOOKS = (_car, _balance, _wrap)
