"""Double wrap: the two grooves of one rope against each other, a tight limit."""

from collections.abc import Iterator
from math import hypot, pi, sqrt

from fleet.models import Groove, Pulley
from fleet.register.choices import PulleyKind, Wrap
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.engineering import tension
from inspections.engineering.source import Certainty
from inspections.engineering.suspension import CaseTensions, LoadCase, Suspension
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, SeatReading
from inspections.models import Grade
from inspections.reasons import Code, Quantity, Reason, Term, Topic, because, missing

PAIR = Topic.PAIR


def findings(known: Known) -> Iterator[Draft]:
    """Yield the difference between the two seats of every rope of a double wrap."""
    hung = known.suspension
    if known.snapshot.machine.wrap != Wrap.DOUBLE or known.stops("traction"):
        return
    if hung is not None and len(hung.wrap.angles_rad) < 2:
        return
    for rope in known.snapshot.ropes:
        rows = known.snapshot.grooves_of(rope=rope)
        where = {
            "place": "groove " + " and ".join(str(row.number) for row in rows),
            "rope_id": rope.pk,
        }
        if hung is None:
            # Told all the same: what is not known hides no difference.
            reason = known.lacking or missing(Term.MASSES_AND_GROOVE)
            yield not_assessed(topic=PAIR, reason=reason, **where)
            continue
        try:
            yield _judged(known, hung, rows, where)
        except (Missing, OutsideValidity) as error:
            yield not_assessed(topic=PAIR, reason=error.reason, **where)


def _judged(
    known: Known,
    hung: Suspension,
    rows: tuple[Groove, ...],
    where: dict[str, object],
) -> Draft:
    """Return the finding on one rope's pair. Raises Missing, OutsideValidity."""
    first, second = _ends(known, rows)
    if known.rope_stiffness_n is None:
        raise Missing(Term.ROPE_STIFFNESS)
    given = {
        "first_depth_mm": first.seat.sunk_mm,
        "second_depth_mm": second.seat.sunk_mm,
        "depth_sd_mm": max(first.seat.sd_mm, second.seat.sd_mm),
        "rope_force_n": _mean_force_n(known.cases, hung),
        "loop_length_m": _loop_m(known, hung),
        "rope_stiffness_n": known.rope_stiffness_n,
    }
    found = tension.judge_pair(**given)
    grade = Grade.PLAN_WORK if found.is_unequal else Grade.IN_ORDER
    reason: Reason | None = None
    if found.is_unequal:
        force = Quantity(found.tension_per_turn_n, "N")
        reason = because(Code.TURN_MAKES_FORCE, force=force)
    elif not found.can_be_judged:
        grade = Grade.NOT_ASSESSED
        reason = because(
            Code.SCATTER_HIDES,
            scatter=Quantity(given["depth_sd_mm"], "mm"),
            difference=Quantity(found.limit_mm, "mm"),
        )
    limit_mm = max(found.limit_mm, found.noise_mm)
    return Draft(
        topic=PAIR,
        grade=grade,
        value=found.difference_mm,
        limit=limit_mm,
        margin=limit_mm - found.difference_mm,
        unit="mm",
        rule=Term.PAIR_DIFFERENCE,
        source="derived; 10 % of the rope's force per turn is a rule of this program",
        how_sure=Certainty.DERIVED,
        reason=reason,
        detail={**given, "pair": plain(found)},
        readings=tuple({*first.readings, *second.readings}),
        unconfirmed=first.unconfirmed or second.unconfirmed,
        **where,  # type: ignore[arg-type]
    )


def _ends(known: Known, rows: tuple[Groove, ...]) -> tuple[SeatReading, SeatReading]:
    ends = [
        known.seats[row.pk].series[-1]
        for row in rows
        if row.pk in known.seats and known.seats[row.pk].routes
    ]
    if len(ends) != 2 or ends[0].seat.route != ends[1].seat.route:
        raise Missing(Term.SEAT_DEPTHS_BOTH)
    return ends[0], ends[1]


def _mean_force_n(cases: tuple[CaseTensions, ...], hung: Suspension) -> float:
    """Return the mean force of one rope between the two sides, car loaded."""
    for case in cases:
        if case.case in (LoadCase.LOADING, LoadCase.BRAKING_FULL):
            return (case.t1_n + case.t2_n) / 2.0 / hung.rope_count
    raise Missing(Term.LOADING_CASE)


def _loop_m(known: Known, hung: Suspension) -> float:
    """Return the length of the loop over the secondary sheave [m]. Raises Missing."""
    for pulley in known.snapshot.pulleys:
        if pulley.kind == PulleyKind.SECONDARY:
            return _loop_over(pulley, hung.sheave_diameter_mm)
    raise Missing(Term.SECONDARY_SHEAVE)


def _loop_over(pulley: Pulley, sheave_diameter_mm: float) -> float:
    if pulley.offset_x_mm is None or pulley.drop_h_mm is None:
        raise Missing(Term.SECONDARY_PLACE)
    centres_mm = hypot(pulley.offset_x_mm, pulley.drop_h_mm)
    step_mm = (sheave_diameter_mm - pulley.diameter_mm) / 2.0
    if centres_mm <= abs(step_mm):
        raise Missing(Term.SECONDARY_PLACE_POSSIBLE)
    straight_mm = sqrt(centres_mm**2 - step_mm**2)
    return (2.0 * straight_mm + pi * pulley.diameter_mm / 2.0) / 1000.0
