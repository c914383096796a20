"""How each rope fits its seat: pinched, seated or loose."""

from collections.abc import Iterator
from dataclasses import dataclass

from fleet.models import Groove, Rope
from inspections.assessment.draft import Draft, not_assessed, plain
from inspections.assessment.known import Known
from inspections.engineering import groove, seat_depth
from inspections.engineering.groove import SeatFit, SeatState, fit
from inspections.engineering.source import Certainty
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Snapshot, diameters, is_unconfirmed
from inspections.models import Grade, Reading
from inspections.reasons import Code, Reason, Term, Topic, because, missing

SEAT_FIT = Topic.SEAT_FIT
_SOURCE = "common practice, no source; seat of 0.53 d by Feyrer 2015"
_PINCHED = because(Code.ROPE_PINCHED)
_LOOSE = because(Code.ROPE_LOOSE)
_UNREAD = missing(Term.SEAT_GAUGE).with_also(because(Code.ROPES_RENEWED_IN_WORN))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fit:
    """The fit of one rope in one groove, and what it rests on."""

    fit: SeatFit
    rope_diameter_mm: float
    seat_radius_mm: float
    readings: tuple[int, ...]
    unconfirmed: bool


def findings(known: Known) -> Iterator[Draft]:
    """Yield the fit of every rope in its grooves, where it can be told."""
    if known.stops("traction"):
        return
    for rope in known.snapshot.ropes:
        for row in known.snapshot.grooves_of(rope=rope):
            where = {
                "place": f"groove {row.number}",
                "groove_id": row.pk,
                "rope_id": rope.pk,
            }
            try:
                found = _fit(known, row=row, rope=rope)
            except OutsideValidity as error:
                yield not_assessed(topic=SEAT_FIT, reason=error.reason, **where)
                continue
            if found is not None:
                yield _judged(found, known, where)
            elif _needs_gauge(known.snapshot, row):
                yield not_assessed(topic=SEAT_FIT, reason=_UNREAD, **where)


def blocks_traction(known: Known, *, row: Groove, rope: Rope) -> Reason | None:
    """Return why the fit keeps traction from being assessed, None if it does not."""
    try:
        found = _fit(known, row=row, rope=rope)
    except OutsideValidity:
        return None
    return None if found is None or found.fit.traction_assessed else _PINCHED


def _judged(found: _Fit, known: Known, where: dict[str, object]) -> Draft:
    state = found.fit.state
    grade: str = Grade.IN_ORDER
    reason: Reason | None = None
    if state is SeatState.PINCHED:
        grade, reason = Grade.PLAN_WORK, _PINCHED
    elif state is SeatState.LOOSE:
        grade, reason = Grade.KEEP_AN_EYE_ON, _LOOSE
        test = known.test
        if test is not None and test.passed and not test.stale:
            grade = Grade.IN_ORDER
            reason = because(Code.ROPE_LOOSE_TESTED, tested_on=test.tested_on)
    is_loose = state is SeatState.LOOSE
    limit = fit.LOOSE_BELOW_RATIO if is_loose else fit.PINCHED_ABOVE_RATIO
    off = found.fit.radius_ratio - limit
    return Draft(
        topic=SEAT_FIT,
        grade=grade,
        value=found.fit.radius_ratio,
        limit=limit,
        margin=off if is_loose else -off,
        rule=Term.RADIUS_RATIO,
        source=_SOURCE,
        how_sure=Certainty.COMMON_PRACTICE,
        reason=reason,
        detail={
            "rope_diameter_mm": found.rope_diameter_mm,
            "seat_radius_mm": found.seat_radius_mm,
            "fit": plain(found.fit),
        },
        readings=found.readings,
        unconfirmed=found.unconfirmed,
        **where,  # type: ignore[arg-type]
    )


def _fit(known: Known, *, row: Groove, rope: Rope) -> _Fit | None:
    """Return the fit, None where radius or rope was not read.

    Raises OutsideValidity for gauges that contradict each other.
    """
    snapshot = known.snapshot
    name = f"fit of rope {rope.pk} in groove {row.pk}"
    return snapshot.once(name, lambda: _worked_out(snapshot, row, rope))


def _worked_out(snapshot: Snapshot, row: Groove, rope: Rope) -> _Fit | None:
    gauged, radius_mm = _gauged(snapshot, row), radius_read(snapshot, row)
    series = diameters.by_rope(snapshot).get(rope.pk, [])
    if radius_mm is None or not series:
        return None
    last = series[-1]
    return _Fit(
        fit=groove.seat_fit(rope_diameter_mm=last.mean_mm, seat_radius_mm=radius_mm),
        rope_diameter_mm=last.mean_mm,
        seat_radius_mm=radius_mm,
        readings=(*(r.pk for r in gauged), *last.readings),
        unconfirmed=last.unconfirmed or any(is_unconfirmed(r) for r in gauged),
    )


def radius_read(snapshot: Snapshot, row: Groove) -> float | None:
    """Return a seat's radius by the gauges tried since its cut, None if none were.

    Raises OutsideValidity for gauges that contradict each other.
    """
    gauged = _gauged(snapshot, row)
    return _radius_mm(gauged) if gauged else None


def _gauged(snapshot: Snapshot, row: Groove) -> list[Reading]:
    """Return the gauges tried at a groove in the latest visit since its cut."""
    geometry = snapshot.geometry
    found = snapshot.last_visit("seat_gauge_fit", groove_id=row.pk)
    if geometry is None or not found:
        return []
    return found if found[0].taken_at.date() >= geometry.valid_from else []


def _radius_mm(gauged: list[Reading]) -> float | None:
    """Return the seat's radius: the gauge that goes, else between tight and loose."""
    by_fit = {
        fit: [r.value for r in gauged if r.place.get("fit") == fit and r.value]
        for fit in ("go", "tight", "loose")
    }
    if by_fit["go"]:
        return float(min(by_fit["go"]))
    if not by_fit["tight"] or not by_fit["loose"]:
        return None
    return seat_depth.seat_radius_from_gauges(
        tight_radius_mm=min(by_fit["tight"]), loose_radius_mm=max(by_fit["loose"])
    ).radius_mm


def _needs_gauge(snapshot: Snapshot, row: Groove) -> bool:
    """Return whether new ropes lie in grooves that older ropes have worn."""
    rope_set, geometry = snapshot.rope_set, snapshot.geometry
    return (
        rope_set is not None
        and geometry is not None
        and rope_set.fitted_on > geometry.valid_from
        and not _gauged(snapshot, row)
    )
