"""Works out, once for all topics, what is known of one machine."""

from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from typing import TypeVar

from inspections import inputs
from inspections.assessment import (
    braking_read,
    field_tests,
    machine_blocks,
    register,
    worse,
)
from inspections.assessment.known import Known
from inspections.assessment.register import MayBe
from inspections.engineering import suspension, traction, unknowns
from inspections.engineering.answer import Axis
from inspections.engineering.answer.axis import COVERAGE
from inspections.engineering.groove import TurnedGroove
from inspections.engineering.suspension import RegisterSpread, TractionRules
from inspections.engineering.traction_answer import BRAKING
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import GrooveSeats, Missing, SeatReading, Snapshot
from inspections.reasons import Reason, missing, together

Made = TypeVar("Made")
Unjudged = Missing | OutsideValidity


def know(snapshot: Snapshot, *, with_limits: bool = True) -> Known:
    """Return what is known of a machine; nothing is raised for what lacks.

    The limits of depth take most of the time; whoever does without says so.
    """
    rules = rules_of(snapshot)
    groove, no_groove = _tried(lambda: inputs.groove_cut(snapshot))
    rope, _ = _tried(lambda: inputs.rope_of(snapshot))
    hung, no_hung = _tried(lambda: inputs.suspension_of(snapshot))
    seats: Mapping[int, GrooveSeats] = {}
    if groove is not None:
        cut = groove
        found, no_groove = _tried(lambda: inputs.groove_seats(snapshot, groove=cut))
        # A groove that no rope of this set fits is as good as none.
        groove, seats = (None, {}) if found is None else (groove, found)
    known = Known(
        snapshot=snapshot,
        rules=rules,
        test=field_tests.standing_test(snapshot),
        blocks=machine_blocks.of(snapshot),
        lacking=_said_once(no_groove, no_hung),
        groove=groove,
        rope=rope,
        suspension=hung,
        seats=seats,
        worst=_worst(snapshot, seats),
        assumed=_assumed(snapshot),
    )
    if known.stops("traction"):
        return known
    if groove is None:
        return _with_usual_groove(known, with_limits=with_limits)
    if hung is None:
        return replace(
            known, supposed=_supposed(known, groove, with_limits=with_limits)
        )
    ranges = inputs.taken_away(snapshot, hung)
    known = replace(known, assumed={**known.assumed, **ranges})
    way = MayBe(suspension=hung)
    return _with_masses(known, groove, way, with_limits=with_limits)


def _assumed(snapshot: Snapshot) -> dict[str, Axis]:
    rope_set, geometry = snapshot.rope_set, snapshot.geometry
    braking = braking_of(snapshot)
    found = {} if braking is None else {braking.name: braking}
    if geometry is None:
        return found
    nominal_mm = rope_set.nominal_diameter_mm if rope_set else None
    of_groove = inputs.assumed_of(
        geometry, rope_diameter_mm=nominal_mm, once_said=snapshot.once_said
    )
    return {**found, **of_groove}


def _with_usual_groove(known: Known, *, with_limits: bool) -> Known:
    """Return what is known with a machine supposed whose groove is the usual one.

    None is supposed where more than the groove's measures is missing, nor where no
    rope of the set fits what is registered.
    """
    snapshot = known.snapshot
    usual, _ = _tried(lambda: inputs.suppose_groove(snapshot))
    if usual is None or not usual.missing:
        return known
    cut = usual.groove
    seats, _ = _tried(lambda: inputs.groove_seats(snapshot, groove=cut))
    if seats is None:
        return known
    supposed = _supposed(
        replace(
            known,
            groove=cut,
            seats=seats,
            worst=inputs.as_unsure(_worst(snapshot, seats), axes=usual.axes),
            assumed={**known.assumed, **usual.axes},
            not_registered=usual.missing,
        ),
        cut,
        with_limits=with_limits,
    )
    return replace(known, supposed=supposed)


def _supposed(known: Known, groove: TurnedGroove, *, with_limits: bool) -> Known | None:
    """Return the machine with usual masses and wrap; None where more is missing."""
    found, _ = _tried(lambda: inputs.supposed_suspension(known.snapshot))
    if found is None:
        return None
    lacking = (*known.not_registered, *found.missing)
    whole = _with_masses(
        replace(
            known,
            lacking=None,
            assumed={**known.assumed, **found.axes},
            not_registered=lacking,
            # The shared masses are the register's, which has not got them all.
            is_other=True,
        ),
        groove,
        MayBe(suspension=found.suspension, read=found.read),
        with_limits=with_limits and not lacking,
    )
    return whole if whole.lacking is None else None


def _worst(
    snapshot: Snapshot, seats: Mapping[int, GrooveSeats]
) -> dict[int, SeatReading]:
    found = {pk: inputs.worst_depth(snapshot, seats=each) for pk, each in seats.items()}
    return {pk: end for pk, end in found.items() if end is not None}


def rules_of(snapshot: Snapshot) -> TractionRules:
    """Return the set's traction rules, with the machine's own harder braking.

    Where the register does not say how hard it brakes, as usual; what it once said of
    it and says no more still counts.
    """
    axis = braking_of(snapshot)
    braking = snapshot.machine.braking_deceleration_m_s2
    return traction.braking_harder(
        rules=snapshot.criteria.traction,
        retardation_m_s2=axis.typical if axis else braking or 0.0,
    )


def braking_of(snapshot: Snapshot) -> Axis | None:
    """Return how hard a machine may brake, None where the register says it."""
    if snapshot.machine.braking_deceleration_m_s2 is not None:
        return None
    said = snapshot.once_said.get(BRAKING)
    axis = unknowns.axis_of(unknown=unknowns.find(name=BRAKING), once_said=said)
    return replace(axis, typical=max(axis.typical, said or 0.0))


def _with_masses(
    known: Known, groove: TurnedGroove, own: MayBe, *, with_limits: bool
) -> Known:
    """Return what is known with tensions and limits, or with what keeps them."""
    snapshot, rules, hung = known.snapshot, known.rules, own.suspension
    try:
        spread = _of_ranges(inputs.spread_of(snapshot, hung), known.assumed)
        deepest_mm = max(
            (end.seat.sunk_mm for end in known.worst.values()), default=0.0
        )
        (used, *others), differing = register.may_be(
            snapshot,
            groove=groove,
            hung=own,
            spread=spread,
            rules=rules,
            depth_mm=deepest_mm,
        )
        braked = worse.findings_of(
            worse.Way(
                read=each.read,
                drafts=tuple(
                    braking_read.findings(
                        snapshot,
                        groove=groove,
                        hung=each.suspension,
                        rules=rules,
                        judged_m_s2=_hardest_judged(known),
                        depth_mm=deepest_mm,
                    )
                ),
            )
            for each in (used, *others)
        )
        car_kg, weighed = register.heaviest(snapshot, hung=own, spread=spread)
        open_ = replace(
            known,
            carried=replace(used.suspension, car_mass_kg=car_kg),
            weighed=weighed,
            differing=(*differing, *braked),
            spread=_shared_out(spread, known.seats),
        )
        return replace(
            _hung(open_, used, with_limits=with_limits),
            others=tuple(_other(open_, each, with_limits) for each in others),
        )
    except (Missing, OutsideValidity) as error:
        return replace(known, lacking=error.reason, suspension=None)


def _hung(known: Known, way: MayBe, *, with_limits: bool) -> Known:
    """Return it with tensions and limits. Raises Missing, OutsideValidity."""
    hung = way.suspension
    cases = suspension.load_cases(suspension=hung, rules=known.rules)
    whole = replace(known, suspension=hung, read=way.read, cases=cases)
    if len(hung.wrap.angles_rad) > 1 or not known.seats or not with_limits:
        return whole
    return replace(whole, limits=whole.limits_at((0.0,)))


def _other(known: Known, way: MayBe, with_limits: bool) -> Known:
    """Return the machine with other masses, or with what keeps them.

    What was worked out of it once with the first ones is no number of these.
    """
    other = replace(known, snapshot=replace(known.snapshot), is_other=True)
    try:
        return _hung(other, way, with_limits=with_limits)
    except (Missing, OutsideValidity) as error:
        return replace(other, lacking=error.reason, suspension=None, read=way.read)


def _hardest_judged(known: Known) -> float:
    """Return the hardest braking that is looked at, a range by its end [m/s²]."""
    said = known.snapshot.machine.braking_deceleration_m_s2 or 0.0
    assumed = known.assumed.get(BRAKING)
    return max(said, known.rules.retardation_m_s2, assumed.high if assumed else 0.0)


def _of_ranges(spread: RegisterSpread, assumed: Mapping[str, Axis]) -> RegisterSpread:
    """Return the spread with what is assumed as wide as its range."""
    there = {item.name for item in fields(RegisterSpread)}
    wide = {
        name: (axis.high - axis.low) / (2.0 * COVERAGE)
        for name, axis in assumed.items()
        if name in there
    }
    return replace(spread, **wide)


def _shared_out(
    spread: RegisterSpread, seats: Mapping[int, GrooveSeats]
) -> RegisterSpread:
    """Leave the clearance as cut out where every depth was worked out from it.

    Depth and limit are then off by the same amount, which cancels between them.
    """
    ends = [s.series[-1] for s in seats.values() if s.routes]
    if ends and all(end.clearance_mm is not None for end in ends):
        return replace(spread, bottom_clearance_mm=0.0)
    return spread


def _tried(make: Callable[[], Made]) -> tuple[Made | None, Unjudged | None]:
    try:
        return make(), None
    except (Missing, OutsideValidity) as error:
        return None, error


def _said_once(*errors: Unjudged | None) -> Reason | None:
    """Return what is missing as one reason, so that all of it is asked for at once."""
    found = [error for error in errors if error is not None]
    items = dict.fromkeys(n for e in found if isinstance(e, Missing) for n in e.items)
    said = [missing(*items)] if items else []
    said += [error.reason for error in found if not getattr(error, "items", ())]
    return together(said)
