"""The limits that bind the wear of seats: rows that forecasts read."""

from collections.abc import Sequence

from fleet.models import Groove as GrooveRow
from fleet.register.choices import StalledDrive
from inspections.assessment.draft import LimitDraft
from inspections.assessment.known import Known
from inspections.engineering import suspension
from inspections.engineering.groove import bottoming_depth_mm
from inspections.engineering.suspension import DepthLimit, LimitOutcome, LimitReason

SEAT_DEPTH = "seat_depth"
BOTTOM_USED_UP = "clearance to the groove bottom used up"


def binding(known: Known, limits: tuple[DepthLimit, ...]) -> DepthLimit | None:
    """Return the limit met first; stalled ones only where the ropes must slip.

    A case that does not close as new has no depth to wear to; the others keep theirs.
    """
    unknown = known.snapshot.machine.stalled_drive == StalledDrive.UNKNOWN
    counted = tuple(
        limit
        for limit in limits
        if not (unknown and limit.reason.value.startswith("STALLED"))
        and limit.outcome is not LimitOutcome.DOES_NOT_CLOSE_AS_NEW
    )
    found = suspension.binding_limit(limits=counted)
    if found is None or found.outcome is not LimitOutcome.CLOSES_UNTIL:
        return None
    return found


def of_grooves(
    rows: Sequence[GrooveRow], limit: DepthLimit | None
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
            value=limit.depth_mm,
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
    allowed_mm = max(depth_mm - known.rules.bottom_allowance_mm, 0.0)
    return [
        LimitDraft(
            quantity=SEAT_DEPTH,
            place=f"groove {row.number}",
            value=allowed_mm,
            sd=0.0,
            reason=LimitReason.BOTTOMING.value,
            criterion=f"{BOTTOM_USED_UP}; traction is not assessed and may bind first",
            groove_id=row.pk,
        )
        for row in known.snapshot.grooves
        if row.pk in known.seats and known.seats[row.pk].routes
    ]


def bottoms_of(known: Known, rows: Sequence[GrooveRow]) -> tuple[LimitDraft, ...]:
    """Return the same of the grooves of one rope."""
    own = {row.pk for row in rows}
    return tuple(each for each in bottoms_only(known) if each.groove_id in own)
