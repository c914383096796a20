"""The limits that bind the wear of seats: rows that forecasts read."""

from collections.abc import Iterator, Sequence
from dataclasses import fields, replace
from math import hypot

from fleet.models import Groove
from fleet.register.choices import StalledDrive
from inspections.assessment.draft import LimitDraft
from inspections.assessment.known import Known
from inspections.engineering import suspension, traction
from inspections.engineering.groove import TurnedGroove, bottoming_depth_mm
from inspections.engineering.suspension import DepthLimit, LimitOutcome, LimitReason
from inspections.engineering.traction_answer import BRAKING
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing

SEAT_DEPTH = "seat_depth"
# The bad end of a range lies this many standard deviations off; our rule.
COVERAGE_OF_RANGE = 2.0
# A limit that is passed; no gauge reads so little.
LEAST_MM = 0.01
BOTTOM_USED_UP = "clearance to the groove bottom used up"


def binding(known: Known, limits: tuple[DepthLimit, ...]) -> DepthLimit | None:
    """Return the depth that is met first; stalled ones only where the ropes must slip.

    A case that does not close as new has no depth to wear to; the others keep theirs.
    """
    closing = tuple(
        limit
        for limit in _counted(known, limits)
        if limit.outcome is not LimitOutcome.DOES_NOT_CLOSE_AS_NEW
    )
    found = suspension.binding_limit(limits=closing)
    if found is None or found.outcome is not LimitOutcome.CLOSES_UNTIL:
        return None
    return found


def ends_wear(
    known: Known,
    limits: tuple[DepthLimit, ...],
    depths: tuple[float, ...],
    first: DepthLimit | None,
) -> DepthLimit | None:
    """Return the limit that a date is worked out to.

    That of a case that does not close as new is passed, whatever depths the others
    have: asked for a little less, it has one that is nearly none. So a register that
    gets worse never moves a date to the case after it. `first` is what `binding` says.
    """
    return _passed(known, limits) or _over_ranges(known, first, depths)


def _passed(known: Known, limits: tuple[DepthLimit, ...]) -> DepthLimit | None:
    for found in _counted(known, limits):
        if found.outcome is LimitOutcome.DOES_NOT_CLOSE_AS_NEW:
            return replace(found, depth_mm=0.0, sd_mm=0.0)
    return None


def _counted(known: Known, limits: tuple[DepthLimit, ...]) -> tuple[DepthLimit, ...]:
    unknown = known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN
    return tuple(
        limit
        for limit in limits
        if not (unknown and limit.reason.value.startswith("STALLED"))
    )


def of_grooves(
    rows: Sequence[Groove], limit: DepthLimit | None
) -> tuple[LimitDraft, ...]:
    """Return one limit for each groove of a rope; none where nothing binds."""
    if limit is None or limit.depth_mm is None:
        return ()
    words = (
        BOTTOM_USED_UP
        if limit.reason is LimitReason.BOTTOMING
        else f"the traction calculation no longer closes ({limit.reason.value})"
    )
    return tuple(
        LimitDraft(
            quantity=SEAT_DEPTH,
            place=f"groove {row.number}",
            value=max(limit.depth_mm, LEAST_MM),
            sd=limit.sd_mm or 0.0,
            reason=limit.reason.value,
            criterion=words + (", borrowed method" if limit.borrowed else ""),
            dominated_by=limit.dominating or "",
            groove_id=row.pk,
        )
        for row in rows
    )


def bottoms_only(known: Known) -> list[LimitDraft]:
    """Return the depth at which the rope nears the bottom, which needs no masses."""
    rope_set = known.snapshot.rope_set
    if known.groove is None or rope_set is None:
        return []
    depth_mm = bottoming_depth_mm(
        groove=known.groove, rope_diameter_mm=rope_set.nominal_diameter_mm
    )
    if depth_mm is None:
        return []
    allowance_mm = known.rules.bottom_allowance_mm
    allowed_mm = max(depth_mm - allowance_mm, 0.0)
    ends = [
        max((depth or 0.0) - allowance_mm, 0.0)
        for groove in _grooves_assumed(known)
        for depth in [
            bottoming_depth_mm(
                groove=groove, rope_diameter_mm=rope_set.nominal_diameter_mm
            )
        ]
    ]
    sd_mm = _sd_of_range(allowed_mm, ends)
    return [
        LimitDraft(
            quantity=SEAT_DEPTH,
            place=f"groove {row.number}",
            value=max(allowed_mm, LEAST_MM),
            sd=sd_mm,
            reason=LimitReason.BOTTOMING.value,
            criterion=f"{BOTTOM_USED_UP}; traction is not assessed and may bind first",
            groove_id=row.pk,
        )
        for row in known.snapshot.grooves
        if row.pk in known.seats and known.seats[row.pk].routes
    ]


def bottoms_of(known: Known, rows: Sequence[Groove]) -> tuple[LimitDraft, ...]:
    """Return the same of the grooves of one rope."""
    own = {row.pk for row in rows}
    return tuple(each for each in bottoms_only(known) if each.groove_id in own)


def _over_ranges(
    known: Known, limit: DepthLimit | None, depths: tuple[float, ...]
) -> DepthLimit | None:
    """Return a limit as unsure as what is assumed of groove and braking makes it.

    The bad end of a range is taken for two standard deviations, so that the date to
    plan on comes from there.
    """
    if limit is None or limit.depth_mm is None:
        return limit
    name = f"limits over ranges {None if known.limits is not None else depths}"
    ends = known.snapshot.once(name, lambda: _ends(known, depths))
    sd_mm = _sd_of_range(limit.depth_mm, ends)
    if not sd_mm:
        return limit
    return replace(limit, sd_mm=hypot(limit.sd_mm or 0.0, sd_mm))


def _ends(known: Known, depths: tuple[float, ...]) -> list[float]:
    """Return how deep the seat may sink with what is assumed at its ends [mm]."""
    found = []
    others = [replace(known, groove=groove) for groove in _grooves_assumed(known)]
    for each in (*others, *_braking_harder(known)):
        other = replace(each, limits=None)
        try:
            limits = other.limits_at(depths)
        except (Missing, OutsideValidity):
            continue
        limit = _passed(known, limits) or binding(known, limits)
        found.append(limit.depth_mm or 0.0 if limit is not None else 0.0)
    return found


def _braking_harder(known: Known) -> Iterator[Known]:
    """Yield the machine as it may brake at its hardest, where nobody knows that."""
    braking = known.assumed.get(BRAKING)
    if braking is not None:
        rules = traction.braking_harder(
            rules=known.rules, retardation_m_s2=braking.high
        )
        yield replace(known, rules=rules)


def _grooves_assumed(known: Known) -> Iterator[TurnedGroove]:
    """Yield the groove with each assumed measure of its own at either end."""
    groove = known.groove
    if groove is None:
        return
    own = {item.name for item in fields(groove)}
    for name, axis in known.assumed.items():
        if name not in own:
            continue
        for value in (axis.low, axis.high):
            try:
                yield replace(groove, **{name: value})
            except OutsideValidity:
                continue


def _sd_of_range(value_mm: float, ends: Sequence[float]) -> float:
    """Return half the way from a limit to its bad end [mm]."""
    return max(value_mm - end for end in (value_mm, *ends)) / COVERAGE_OF_RANGE
