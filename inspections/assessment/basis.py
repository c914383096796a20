"""What an assessment knew that work is decided on, stored with it and read back."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any, TypeVar

from inspections.assessment import knowing, next_cut, rim_metal, seat_fit
from inspections.assessment.known import Known
from inspections.engineering import groove
from inspections.engineering.cut import Proof, SeatAt, SheaveToCut
from inspections.engineering.groove import FORMS, SeatState, TurnedGroove
from inspections.engineering.rim import RimMetal
from inspections.engineering.suspension import Suspension, TractionRules
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, Snapshot
from inspections.json_records import read
from inspections.reasons import Reason

Made = TypeVar("Made")

# Among the shared numbers of an assessment: what stands nowhere else in it.
FOR_WORK = "for_work"
CARRIED_CAR = "carried_car_kg"
OTHER_MASSES = "other_masses"
# Those of the shared numbers that a basis is read from.
PARTS = (
    FOR_WORK,
    CARRIED_CAR,
    OTHER_MASSES,
    "suspension",
    "groove_as_cut",
    "groove_kind",
    "rules",
)
_GROOVES = {kind.__name__: kind for kind in FORMS.values()}


@dataclass(frozen=True, slots=True, kw_only=True)
class ForWork:
    """What only decisions on work ask for; None is not known.

    `new_rope_is_pinched` : a rope of the nominal diameter would be pinched in a seat
    as it is; `uncomputable` : why nothing of the ropes can be worked out.
    """

    sheave: SheaveToCut | None
    seats: tuple[SeatAt, ...]
    proof: Proof
    rim: RimMetal | None
    new_rope_is_pinched: bool | None
    uncomputable: Reason | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What decisions on work take from an assessment.

    `carried` is what hangs on the ropes where only weight makes it worse: with the
    heavier car of register and reading; `others` are the other masses and wraps that
    may be, where readings say otherwise than the register.
    """

    suspension: Suspension | None
    carried: Suspension | None
    others: tuple[Suspension, ...]
    groove: TurnedGroove | None
    rules: TractionRules
    work: ForWork


def of_known(whole: Known) -> Basis:
    """Return what decisions take from what is known of a machine."""
    return Basis(
        suspension=whole.suspension,
        carried=whole.carried,
        others=others_of(whole),
        groove=whole.groove,
        rules=whole.rules,
        work=for_work(whole),
    )


def others_of(whole: Known) -> tuple[Suspension, ...]:
    """Return the other masses and wraps that may be."""
    return tuple(each.suspension for each in whole.others if each.suspension)


def of_snapshot(snapshot: Snapshot) -> Basis:
    """Return it as worked out now: of a machine whose assessment does not hold it."""
    return of_known(knowing.know(snapshot, with_limits=False))


def for_work(whole: Known) -> ForWork:
    """Return what an assessment stores for decisions besides what it stores anyway."""
    snapshot = whole.snapshot
    cut = _tried(lambda: next_cut.cut_from(whole)[0])
    return ForWork(
        sheave=cut["sheave"] if cut else None,
        seats=cut["seats"] if cut else (),
        proof=cut["proof"] if cut else Proof(),
        rim=_rim(snapshot),
        new_rope_is_pinched=_is_pinched(snapshot),
        uncomputable=whole.stops("ropes"),
    )


def from_shared(shared: Mapping[str, Any]) -> Basis | None:
    """Return the basis that an assessment's shared numbers hold.

    None where they hold none, as in those of an earlier version, or another shape.
    """
    if not shared.get(FOR_WORK):
        return None
    kind = _GROOVES.get(shared["groove_kind"] or "")
    try:
        hung = read(Suspension | None, shared["suspension"])
        return Basis(
            suspension=hung,
            carried=_carried(hung, shared),
            others=read(tuple[Suspension, ...], shared.get(OTHER_MASSES, [])),
            groove=read(kind, shared["groove_as_cut"]) if kind else None,
            rules=read(TractionRules, shared["rules"]),
            work=read(ForWork, shared[FOR_WORK]),
        )
    except (KeyError, TypeError, ValueError):
        return None


def _carried(hung: Suspension | None, shared: Mapping[str, Any]) -> Suspension | None:
    if hung is None:
        return None
    # One of an earlier version has the car that traction is judged with.
    car_kg = read(float | None, shared.get(CARRIED_CAR))
    return hung if car_kg is None else replace(hung, car_mass_kg=car_kg)


def _rim(snapshot: Snapshot) -> RimMetal | None:
    """Return the metal under the grooves as they are cut now."""
    sheave = _tried(snapshot.need_sheave)
    if sheave is None or rim_metal.is_of_an_earlier_cut(snapshot, sheave):
        return None
    return _tried(lambda: rim_metal.metal_under(snapshot, sheave)[0])


def _is_pinched(snapshot: Snapshot) -> bool | None:
    """Return whether a rope of the nominal diameter would be pinched in any seat."""
    if snapshot.rope_set is None:
        return None
    diameter_mm, known_ones = snapshot.rope_set.nominal_diameter_mm, 0
    for row in snapshot.grooves:
        radius_mm = _radius(snapshot, row)
        if radius_mm is None:
            continue
        known_ones += 1
        fit = groove.seat_fit(rope_diameter_mm=diameter_mm, seat_radius_mm=radius_mm)
        if fit.state is SeatState.PINCHED:
            return True
    return False if known_ones and known_ones == len(snapshot.grooves) else None


def _radius(snapshot: Snapshot, row: object) -> float | None:
    return _tried(lambda: seat_fit.radius_read(snapshot, row))  # type: ignore[arg-type]


def _tried(make: Callable[[], Made]) -> Made | None:
    try:
        return make()
    except (Missing, OutsideValidity):
        return None
