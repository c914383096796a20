"""What a measurement may decide: the chance of beyond times what would follow.

The numbers are our rules, no source. Where a finding says no chance, a half is taken; a
check that is missing counts as the chance at which an open criterion keeps a machine
from being known, a forecast that asks for a visit as the chance at which it asks.
"""

from collections.abc import Iterator

from inspections.inputs import CHECKS
from inspections.kinds import KINDS
from inspections.models import Finding, Forecast, ForecastState, StopCause
from inspections.reasons import Code, because
from inspections.reasons.serial import topic_of
from inspections.stops import causes
from inspections.worklist import asking
from inspections.worklist.listed import DueReason
from inspections.worklist.ordering import Why

CHANCE_NOT_SAID = 0.5
CHANCE_NOT_KNOWN = 0.05
CHANCE_OF_VISIT = 0.02
STOPS, PLANS = 1.0, 0.25
_WORN_STOPS = ("seat_depth", "diameter_loss", "broken_wires")
_PLANNED_CHECKS = ("counterweight_runby", "car_runby", "rope_tension", "balance")
# What would settle a finding -> the readings that tell it, where no kind registers it.
_READ_BY: dict[str, tuple[str, ...]] = {
    "seat_depth_mm": CHECKS["seat_depth"].kinds,
    "cast_runout_mm": ("underside_runout",),
    "seat_runout_mm": ("underside_runout",),
    "seat_radius_mm": ("seat_gauge_fit",),
    "undercut_angle_rad": ("slot_width",),
    "braking_deceleration_m_s2": ("traction_test",),
    "breaks_missed_share": ("breaks_total",),
    "unworn_diameter_mm": ("rope_diameter_unworn",),
    "unworn_diameter_thin_mm": ("rope_diameter_unworn",),
    "": (),
}


def open_finding(finding: Finding) -> DueReason | None:
    """Return why an open finding asks for a reading, None where it does not."""
    if not finding.is_open:
        return None
    chance = finding.chance_beyond
    percent = None if chance is None else round(100.0 * chance, 1)
    topic = topic_of(finding.topic)
    said = (
        because(Code.DUE_OPEN, topic=topic)
        if percent is None
        else because(Code.DUE_OPEN_BY_CHANCE, topic=topic, percent=percent)
    )
    worth = (CHANCE_NOT_SAID if chance is None else chance) * of_finding(finding)
    return DueReason(why=Why.OPEN, said=said, worth=worth)


def kinds(finding: Finding) -> frozenset[str]:
    """Return the kinds of reading that would settle an open finding."""
    if not finding.is_open:
        return frozenset()
    return frozenset(_kinds(finding)) | asking.kinds(finding)


def of_finding(finding: Finding) -> float:
    """Return what follows where a finding is beyond: a stop, or work to plan."""
    cause = causes.of_finding(
        topic=finding.topic, place=finding.place, on_rope=False, test_failed=False
    )
    return PLANS if cause is StopCause.OTHER else STOPS


def of_check(code: str) -> float:
    """Return what a missing check of the least set is worth."""
    follows = PLANS if code in _PLANNED_CHECKS else STOPS
    return CHANCE_NOT_KNOWN * follows


def of_forecast(forecast: Forecast) -> float:
    """Return what a reading that a forecast asks for is worth."""
    doubtful = (ForecastState.REACHED, ForecastState.SUSPENDED)
    chance = CHANCE_NOT_SAID if forecast.state in doubtful else CHANCE_OF_VISIT
    return chance * (STOPS if forecast.quantity in _WORN_STOPS else PLANS)


def _kinds(finding: Finding) -> Iterator[str]:
    if finding.decides in _READ_BY:
        yield from _READ_BY[finding.decides]
        return
    for kind in KINDS.values():
        if finding.decides in kind.registers:
            yield kind.code
