"""How far the seats of round grooves may sink before the rim's metal is used up.

Only there is the seat the bottom: each millimetre it sinks is a millimetre of rim. In
a V or over a slot the rope meets the bottom first, which is a limit of its own; the
metal below is then lost by cuts alone, and judged at each survey.
"""

from collections.abc import Iterable, Iterator
from math import hypot, inf
from typing import NamedTuple

from fleet.models import Groove
from fleet.register.choices import RimConstruction
from inspections.assessment import rim_metal, rim_survey
from inspections.assessment.draft import Draft, LimitDraft, not_assessed
from inspections.assessment.known import Known
from inspections.assessment.wear_limits import LEAST_MM, SEAT_DEPTH
from inspections.engineering.validity import OutsideValidity
from inspections.inputs import Missing, SeatReading
from inspections.reasons import Code, Topic, because, missing

LEAST_METAL = "RIM_METAL"
DATE_OF_LEAST_METAL = Topic.LEAST_METAL_DATE
METAL_USED_UP = "metal under the groove down to the maker's least"
# What is to be measured first where the limit's own deviation decides the date.
SURVEY = "rim_thickness_mm"
# Limits are compared this many deviations low, as the chance planned on; our rule.
_LOW = 2.0


class _Metal(NamedTuple):
    """Metal under a groove's bottom, and its standard deviation [mm]."""

    mm: float
    sd_mm: float


def of_round_grooves(known: Known) -> list[LimitDraft]:
    """Return the seat depth at which each groove's metal is down to the minimum.

    s = s₀ + M₀ - m: s₀ the seat depth at the visit that read the groove's bottom, M₀
    the metal under it, m the maker's least [mm]; geometry. None where one of them is
    not known, where run-out was not measured or the rim not since the last cut, or
    where a bolted rim's holes are not known.
    """
    return [
        _limit(row, metal, seat, minimum_mm)
        for row, metal, minimum_mm in _surveyed(known)
        if (seat := _seat_at_bottom_reading(known, row)) is not None
    ]


def findings(known: Known) -> list[Draft]:
    """Return why there is no date for the least metal, where only the seat lacks.

    What else may lack is said with the rim metal itself.
    """
    lacking = [
        str(row.number)
        for row, _metal, _minimum in _surveyed(known)
        if _seat_at_bottom_reading(known, row) is None
    ]
    if not lacking:
        return []
    seats = because(Code.SEAT_AT_BOTTOM_OF, grooves=tuple(lacking))
    return [not_assessed(topic=DATE_OF_LEAST_METAL, reason=missing(seats))]


def _surveyed(known: Known) -> Iterator[tuple[Groove, _Metal, float]]:
    """Yield each round groove with its metal as surveyed and the maker's least."""
    if known.groove is None or known.groove.has_bottom:
        return
    snapshot = known.snapshot
    try:
        sheave = snapshot.need_sheave()
        metal, given, _readings = rim_metal.metal_under(snapshot, sheave)
    except (Missing, OutsideValidity):
        return
    bolted = sheave.rim_construction == RimConstruction.BOLTED
    if metal.minimum_mm is None or (bolted and given["bolts"] is None):
        return
    if rim_metal.is_of_an_earlier_cut(snapshot, sheave):
        return
    rows = {row.number: row for row in snapshot.grooves}
    for each in metal.grooves:
        if None not in (each.worst_mm, each.nominal_mm, each.sd_mm):
            under = _Metal(mm=each.nominal_mm or 0.0, sd_mm=each.sd_mm or 0.0)
            yield rows[each.number], under, metal.minimum_mm


def _limit(
    row: Groove, metal: _Metal, seat: SeatReading, minimum_mm: float
) -> LimitDraft:
    return LimitDraft(
        quantity=SEAT_DEPTH,
        place=f"groove {row.number}",
        value=max(seat.seat.depth_mm + metal.mm - minimum_mm, LEAST_MM),
        sd=hypot(metal.sd_mm, seat.seat.sd_mm),
        reason=LEAST_METAL,
        criterion=METAL_USED_UP,
        dominated_by=SURVEY,
        groove_id=row.pk,
    )


def _seat_at_bottom_reading(known: Known, row: Groove) -> SeatReading | None:
    """Return the seat depth of the visit that last read the groove's bottom."""
    seats = known.seats.get(row.pk)
    read = rim_survey.depths_since_cut(known.snapshot, row.pk)
    if seats is None or not read:
        return None
    return next((s for s in seats.series if s.visit_id == read[-1].visit_id), None)


def first(*limits: Iterable[LimitDraft]) -> Iterator[LimitDraft]:
    """Yield of each quantity and place the limit that may be met first.

    A deeper limit that is much less sure comes before a shallow one that is known.
    """
    least: dict[tuple[str, str], LimitDraft] = {}
    for limit in (each for some in limits for each in some):
        held = least.get((limit.quantity, limit.place))
        if held is None or _low(limit) < _low(held):
            least[limit.quantity, limit.place] = limit
    yield from least.values()


def _low(limit: LimitDraft) -> float:
    """Return a limit at its bad end; one that is passed comes before any other."""
    return -inf if limit.value <= LEAST_MM else limit.value - _LOW * limit.sd
