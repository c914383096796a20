"""What was weighed or measured on site against what the register says."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from itertools import product
from math import degrees, inf, isinf
from typing import Any

from fleet.models import Machine
from inspections import inputs
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
from inspections.inputs import ReadValue, Snapshot, is_unconfirmed
from inspections.models import Grade, Reading
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because, english

REGISTER = Topic.REGISTER
# Further apart than this many standard deviations of the register; our rule.
DIFFERS_SD = 2.0
# What the wrap is called in what is told of readings; its field holds each pass.
WRAP = "wrap_angle"
CAR = "car_mass_kg"


@dataclass(frozen=True, slots=True, kw_only=True)
class MayBe:
    """Masses and wrap that may be, and what of them was read and is not registered."""

    suspension: Suspension
    read: tuple[ReadValue, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Other:
    """What readings say otherwise: fields of the suspension, and why it differs."""

    changes: Mapping[str, Any]
    read: ReadValue
    unconfirmed: bool
    differs: Reason
    # What it differs from; a mass that is not registered is that of the last reading.
    against: Term = Term.BY_REGISTER


Look = Callable[[Suspension], Iterable[_Other]]
_Found = tuple[tuple[MayBe, ...], tuple[Draft, ...]]


def may_be(
    snapshot: Snapshot,
    *,
    groove: TurnedGroove,
    hung: MayBe,
    spread: RegisterSpread,
    rules: TractionRules,
    depth_mm: float,
) -> tuple[tuple[MayBe, ...], tuple[Draft, ...]]:
    """Return the masses and wraps that may be, and the findings on differences.

    Where readings say otherwise than the register, each may be right until somebody
    enters which is. The one with the smallest margin comes first.
    """

    def least(each: MayBe) -> float:
        try:
            return margins.least_of(
                each.suspension,
                groove=groove,
                rules=rules,
                depth_mm=depth_mm,
                counts=_counts,
            )
        except OutsideValidity:
            # Told where it is judged; the others are judged all the same.
            return inf

    looks = tuple(partial(each, snapshot, spread=spread) for each in _LOOKS)
    return _may_be(looks, hung, least)


def _may_be(
    looks: tuple[Look, ...], hung: MayBe, least: Callable[[MayBe], float]
) -> _Found:
    """Return what this look and those after it leave open, the worst first."""
    if not looks:
        return (hung,), ()
    look, *later = looks
    ways: list[_Found] = [_may_be(tuple(later), hung, least)]
    ends = [least(ways[0][0][0])]
    drafts: list[Draft] = []
    for other in look(hung.suspension):
        try:
            changed = replace(hung.suspension, **other.changes)
        except OutsideValidity as error:
            # What cannot be takes nothing away from what the register says.
            drafts.append(not_assessed(topic=REGISTER, reason=error.reason))
            continue
        kept = (each for each in hung.read if each.name != other.read.name)
        way = MayBe(suspension=changed, read=(*kept, other.read))
        ways.append(_may_be(tuple(later), way, least))
        ends.append(least(ways[-1][0][0]))
        drafts.append(_differing(other, ends[0], ends[-1]))
    order = sorted(range(len(ways)), key=ends.__getitem__)
    found = tuple(each for at in order for each in ways[at][0])
    return found, (*drafts, *ways[order[0]][1])


def _differing(other: _Other, by_register: float, by_reading: float) -> Draft:
    """Return the finding that a reading says otherwise, by the least margin of each."""
    ends = (by_register, by_reading)
    taken = Term.BY_READING if by_reading < by_register else other.against
    return Draft(
        topic=REGISTER,
        grade=Grade.KEEP_AN_EYE_ON,
        rule=Term.AGREES_WITH_REGISTER,
        source="rule of this program, no source: twice the register's own "
        "standard deviation",
        how_sure=Certainty.COMMON_PRACTICE,
        reason=other.differs.with_also(because(Code.SMALLER_MARGIN_USED, used=taken)),
        readings=other.read.readings,
        unconfirmed=other.unconfirmed,
        detail={
            "least_margins": [None if isinf(each) else each for each in ends],
            "used": english(taken),
        },
    )


def heaviest(
    snapshot: Snapshot, *, hung: MayBe, spread: RegisterSpread
) -> tuple[float, tuple[ReadValue, ...]]:
    """Return the heavier empty car of register and readings [kg], and what was read.

    What only weight makes worse is judged with it, whichever gives less traction.
    """
    own = hung.suspension
    heavy = max(_car(snapshot, own, spread=spread), key=_car_kg, default=None)
    if heavy is None or _car_kg(heavy) <= own.car_mass_kg:
        return own.car_mass_kg, tuple(r for r in hung.read if r.name == CAR)
    return _car_kg(heavy), (heavy.read,)


def _car_kg(other: _Other) -> float:
    return float(other.changes[CAR])


def _counts(case: CaseResult) -> bool:
    return not case.accepted_otherwise


def _car(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
) -> Iterator[_Other]:
    for reading in inputs.standing(snapshot, kind="car_mass"):
        read_kg = reading.value or 0.0
        if abs(read_kg - hung.car_mass_kg) <= DIFFERS_SD * spread.car_mass_kg:
            continue
        two = {"read": Quantity(read_kg, "kg")}
        if snapshot.machine.car_mass_kg is None:
            later = Quantity(hung.car_mass_kg, "kg")
            differs = because(Code.CAR_MASS_READ_TWICE, **two, later=later)
        else:
            registered = Quantity(hung.car_mass_kg, "kg")
            differs = because(Code.CAR_MASS_DIFFERS, **two, registered=registered)
        other = _other(
            snapshot, {CAR: read_kg}, name=CAR, readings=(reading,), differs=differs
        )
        told = differs.with_also(because(Code.HEAVIER_CAR_CARRIED))
        other = replace(other, differs=told)
        yield _against(other, snapshot.machine.car_mass_kg)


def _balance(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
) -> Iterator[_Other]:
    machine, weighed = snapshot.machine, hung.counterweight_mass_kg
    allowed_kg = (
        spread.balance_ratio * hung.rated_load_kg
        if weighed is None
        else spread.counterweight_mass_kg
    )
    name = "balance_ratio" if weighed is None else "counterweight_mass_kg"
    for reading in inputs.standing(snapshot, kind="balance_load"):
        balance = reading.value or 0.0
        read_kg = hung.car_mass_kg + balance * hung.rated_load_kg
        if abs(read_kg - hung.balancing_mass_kg) <= DIFFERS_SD * allowed_kg:
            continue
        other = _other(
            snapshot,
            {name: balance if weighed is None else read_kg},
            name=name,
            readings=(reading,),
            differs=_balance_differs(machine, hung, balance),
        )
        yield _against(other, machine.balance_ratio if weighed is None else weighed)


def _balance_differs(machine: Machine, hung: Suspension, balance: float) -> Reason:
    """Return which balance was read, and what stands against it."""
    share, weighed = 100.0 * balance, hung.counterweight_mass_kg
    if weighed is not None:
        read_kg = hung.car_mass_kg + balance * hung.rated_load_kg
        return because(
            Code.BALANCE_DIFFERS,
            balance=share,
            read=Quantity(read_kg, "kg"),
            registered=Quantity(weighed, "kg"),
        )
    stands = 100.0 * (hung.balance_ratio or 0.0)
    if machine.balance_ratio is None:
        return because(Code.BALANCE_READ_TWICE, balance=share, later=stands)
    return because(Code.BALANCE_SHARE_DIFFERS, balance=share, registered=stands)


def _wrap(
    snapshot: Snapshot, hung: Suspension, *, spread: RegisterSpread
) -> Iterator[_Other]:
    pulley = next((p for p in snapshot.pulleys if p.offset_x_mm is not None), None)
    if pulley is None:
        return
    for across, down in product(
        inputs.standing(snapshot, kind="wrap_offset_x"),
        inputs.standing(snapshot, kind="wrap_drop_h"),
    ):
        try:
            read = wrap.wrap_from_geometry(
                sheave_diameter_mm=hung.sheave_diameter_mm,
                pulley_diameter_mm=pulley.diameter_mm,
                offset_x_mm=across.value or 0.0,
                drop_h_mm=down.value or 0.0,
                double=len(hung.wrap.angles_rad) > 1,
            )
        except OutsideValidity:
            continue
        change = read.total_rad - hung.wrap.total_rad
        if abs(change) <= DIFFERS_SD * spread.wrap_angle_rad:
            continue
        differs = because(
            Code.WRAP_DIFFERS,
            read=degrees(read.total_rad),
            registered=degrees(hung.wrap.total_rad),
        )
        yield _other(
            snapshot,
            {"wrap": read},
            name=WRAP,
            readings=(across, down),
            differs=differs,
        )


def _against(other: _Other, registered: object) -> _Other:
    """Return it as against an earlier reading where nothing is registered."""
    if registered is not None:
        return other
    return replace(other, against=Term.BY_LATER_READING)


def _other(
    snapshot: Snapshot,
    changes: Mapping[str, Any],
    *,
    name: str,
    readings: tuple[Reading, ...],
    differs: Reason,
) -> _Other:
    return _Other(
        changes=changes,
        read=inputs.read_value(snapshot, name=name, readings=readings, differs=differs),
        unconfirmed=any(map(is_unconfirmed, readings)),
        differs=differs,
    )


_LOOKS = (_car, _balance, _wrap)
